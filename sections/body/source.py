"""A skin and where it came from; STEP files and scripts: exact solids, sewn, healed, united, triangulated."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from itertools import combinations
from pathlib import Path
from typing import TypeVar

import numpy as np
from OCP.TopoDS import TopoDS_Shape

from sections.body.body import ExactSkin
from sections.body.foreign import foreign_script, foreign_step
from sections.errors import BadInput, BuildFailed, Problem
from sections.numbers.mesh import Mesh
from sections.numbers.words import place_words
from sections.scan.sound_mesh import sound_mesh
from sections.settings import Settings
from sections.settings.body import MM_PER
from sections.settings.rules_body import axes_matrix
from sections.solids.as_given import AsGiven, as_given
from sections.solids.distance import MeshDistance
from sections.solids.exact_solid import ExactSolid
from sections.solids.healing import healed
from sections.solids.print_solid import PrintSolid
from sections.solids.sewing import Boundaries, sewn
from sections.solids.step_read import closed_solids, transformed
from sections.solids.tessellate import Tessellation, occ_triangles, tessellate

# One exact point for about this much skin, mm2: some 250 to a section of a 300 mm bed.
_AREA_PER_POINT = 350.0
# How much coarser than its edges a face is first cut.
COARSE = (5.0, 2.0, 1.0)
# Exact and printed union are no further apart than so many deviations: both are within one of the truth.
_UNITED = 2.0
_SHOWN = 3
# Times the tolerance that sewing may move a face by, both triangulated to within the tolerance.
_SEWN = 2.5
# mm; the kernel gives what has no end bounds a great deal larger.
_FINITE = 1e12

Made = TypeVar("Made")


@dataclass(frozen=True)
class Source:
    """A closed skin in the vehicle frame, points on the true surface, and what was measured. given : places on the body
    as it came; None where it was taken as it came."""

    skin: Mesh
    points: np.ndarray
    notes: tuple[str, ...]
    exact: ExactSkin | None = None
    given: AsGiven | None = None


@dataclass(frozen=True)
class SewnShape:
    """A shape after repair.sew, and what was done, a line each."""

    shape: TopoDS_Shape
    notes: tuple[str, ...]


def source_of_shape(settings: Settings, folder: Path, look: Callable[[np.ndarray], None]) -> Source:
    """Return the skin of a STEP file or a script, with its exact faces. look : asked of the body's bounds, (2, 3) mm,
    as soon as they are known. Raises BadInput."""
    body, deviation = settings.body, settings.mesh.deviation
    what = body.file or body.script
    if body.script is not None:
        shape = foreign_script(body.script, folder, "body.script", settings.dimension_values)
        factor = MM_PER[body.units]
    else:
        shape, stated = foreign_step(folder / body.file, body.take)
        same_unit(stated, body.units, folder / body.file)
        factor = 1.0  # OCC has brought the file to millimetres
    shape = transformed(shape, axes_matrix(body.axes), body.shift, factor * body.scale)
    look(finite_bounds(shape, what))
    made = sewn_as_asked(shape, settings.repair.sew, 1.0, what)
    _must_be_closed(made, settings.repair.sew, what)
    source = source_of_solids(made.shape, deviation, what)
    # One solid that is healthy is taken as it came; several, and faces that were sewn or healed, are not.
    as_it_came = not made.notes and len(source.notes) == 1 and source.exact is not None
    given = None if as_it_came else as_given(occ_triangles(shape, deviation), settings.repair.sew + deviation)
    return replace(source, notes=(*made.notes, *source.notes), given=given)


def source_of_solids(shape: TopoDS_Shape, deviation: float, what: str) -> Source:
    """Return the skin of closed solids and shells, healed and united, no further than `deviation` mm from their faces.

    Raises BadInput for a shape that is open, or not sound as triangles.
    """
    whole = [healed(solid, deviation, what) for solid in closed_solids(shape, what)]
    return _united([one.solid for one in whole], deviation, what, [one.text for one in whole if one.text])


def finite_bounds(shape: TopoDS_Shape, what: str) -> np.ndarray:
    """Return the smallest and largest corner of a shape, (2, 3) mm. Raises BadInput for one without an end, or that is
    nowhere."""
    bounds = ExactSolid(shape).bounds
    if not np.isfinite(bounds).all() or np.abs(bounds).max() > _FINITE:
        limit = "a shape whose coordinates are finite numbers"
        raise BadInput([Problem(what, "body", "", limit, "correct it in the modeller, or in the script")])
    return bounds


def sewn_as_asked(shape: TopoDS_Shape, tolerance: float, scale: float, what: str) -> SewnShape:
    """Return a shape sewn at `tolerance` mm of the built size, as it is for 0. scale : from the shape to that size."""
    found = Boundaries.of(shape)
    if not tolerance or not (found.open or found.loose):
        return SewnShape(shape, ())
    made = sewn(shape, tolerance / scale)
    moved = _moved(shape, made.shape, tolerance / scale) * scale
    if moved > _SEWN * tolerance:
        limit = f"faces that sewing leaves where they are; it moves or loses some, by {moved:.3g} mm"
        raise BadInput([Problem(what, "repair.sew", f"{tolerance:g}", limit, "sew less wide")])
    left = f", {len(made.left)} left open{_places(made.left * scale)}" if len(made.left) else ""
    text = (
        f"repair.sew: {found} became {Boundaries.of(made.shape)}; {made.joined} edges joined{left}; faces moved by at "
        f"most {moved:.3g} mm, as triangulated"
    )
    return SewnShape(made.shape, (text,))


def _must_be_closed(made: SewnShape, tolerance: float, what: str) -> None:
    """Refuse a shape that is open although it was sewn, with what sewing did."""
    if made.notes and not Boundaries.of(made.shape).are_closed:
        limit = f"more than the gaps between the faces; {made.notes[0].partition(': ')[2]}"
        remedy = "sew wider, close the surface there in the modeller, or name what is the body in body.take"
        raise BadInput([Problem(what, "repair.sew", f"{tolerance:g}", limit, remedy)])


def _moved(before: TopoDS_Shape, after: TopoDS_Shape, deviation: float) -> float:
    """Return how far corners of the one's triangles lie from the other, in their own unit."""
    moved = MeshDistance(occ_triangles(after, deviation)).unsigned(occ_triangles(before, deviation).vertices)
    return float(moved.max(initial=0.0))


def _united(solids: list[TopoDS_Shape], deviation: float, what: str, notes: list[str]) -> Source:
    """Return one skin around all solids; a single one, and several that stay clear of one another, are left as is."""
    made = [_sound_tessellation(solid, deviation, what) for solid in solids]
    if not _may_meet([mesh for _, mesh in made], deviation):
        return _exact_source(solids, made, what, notes)
    union = _union([mesh for _, mesh in made], what).mesh()
    notes += _swallowed([mesh for _, mesh in made], union, deviation)
    try:
        one = _as_one(solids)
        whole = _exact_source(one, [_sound_tessellation(solid, deviation, what) for solid in one], what, [])
        _refuse_other(whole.skin, union, deviation)
    except (BuildFailed, BadInput) as error:
        why = str(error).splitlines()[0]
        notes.append(f"{len(solids)} solids united as triangles: {why}; STEP files have no exact faces")
        points = _points([tessellation for tessellation, _ in made])
        return Source(union, points[MeshDistance(union).unsigned(points) < _UNITED * deviation], tuple(notes))
    said = f"united into {len(one)}" if len(one) < len(solids) else "that stay clear of one another"
    return replace(whole, notes=(*notes, f"{len(solids)} solids {said}", *whole.notes))


def _may_meet(meshes: list[Mesh], deviation: float) -> bool:
    """Return whether the bounds of any two come within the deviation."""
    bounds = [mesh.bounds for mesh in meshes]
    return any(
        bool((one[0] <= other[1] + deviation).all() and (other[0] <= one[1] + deviation).all())
        for one, other in combinations(bounds, 2)
    )


def _swallowed(meshes: list[Mesh], skin: Mesh, deviation: float) -> list[str]:
    """Say which solids lie wholly inside the others, and so leave nothing of the skin, a line each."""
    surface = MeshDistance(skin)
    said = []
    for mesh in meshes:
        if (surface.depth(mesh.vertices) > deviation).all():
            size = " x ".join(f"{length:.0f}" for length in mesh.size)
            said.append(f"a solid of {size} mm at {place_words(mesh.bounds.mean(0))} lies inside others: left out")
    return said


def _union(meshes: list[Mesh], what: str) -> PrintSolid:
    first, *others = (PrintSolid.of(mesh, what) for mesh in meshes)
    return first.unite(others)


def _points(tessellations: list[Tessellation]) -> np.ndarray:
    return np.vstack([one.sample(point_count(one.mesh), seed=11).points for one in tessellations])


def _as_one(solids: list[TopoDS_Shape]) -> list[TopoDS_Shape]:
    """Return the solids that OCC makes of several. Raises BuildFailed where they are none, or invalid."""
    first, *others = (ExactSolid(solid) for solid in solids)
    whole = first.unite(others)
    if not whole.is_valid or not whole.pieces():
        raise BuildFailed("the CAD kernel unites them into something invalid")
    return [piece.shape for piece in whole.pieces()]


def _refuse_other(exact: Mesh, union: Mesh, deviation: float) -> None:
    """Raise BuildFailed where the union of exact solids has another skin than that of their triangles: OCC may leave
    something out without an error."""
    for one, other in ((exact, union), (union, exact)):
        places = np.vstack([one.vertices, one.triangles.mean(1)])
        off = MeshDistance(other).unsigned(places)
        if off.max() > _UNITED * deviation:
            at = place_words(places[int(off.argmax())])
            raise BuildFailed(f"the CAD kernel unites them wrongly, {off.max():.3g} mm off at {at}")


def _exact_source(
    solids: list[TopoDS_Shape], made: list[tuple[Tessellation, Mesh]], what: str, notes: list[str]
) -> Source:
    """Return solids that stay clear of one another as a source. made : each as triangles."""
    tessellations = [tessellation for tessellation, _ in made]
    skin = made[0][1] if len(made) == 1 else _union([mesh for _, mesh in made], what).mesh()
    points = _points(tessellations)
    off = float(MeshDistance(skin).unsigned(points).max())
    exact = ExactSkin(tuple(ExactSolid(solid) for solid in solids), tuple(tessellations))
    notes.append(f"skin: at most {off:.3f} mm off the exact surface, measured at {len(points)} points")
    return Source(skin, points, tuple(notes), exact)


def _sound_tessellation(solid, deviation: float, what: str) -> tuple[Tessellation, Mesh]:
    """Return (triangles of an exact solid, the same welded and proved sound)."""

    def made(coarse: float) -> tuple[Tessellation, Mesh]:
        tessellation = tessellate(solid, deviation, what, coarse)
        return tessellation, sound_mesh(tessellation.mesh, deviation, what)

    return finest_sound(made, deviation, what)


def finest_sound(make: Callable[[float], Made], deviation: float, what: str) -> Made:
    """Return what `make` makes of the coarsest start that is sound. deviation : mm, for the message. Raises
    BadInput: what is wrong at the finest."""
    refused = BadInput([])
    for coarse in COARSE:
        try:
            return make(coarse)
        except BuildFailed as error:
            refused = BadInput([Problem(what, "mesh.deviation", f"{deviation:g}", str(error), "allow more")])
        except BadInput as error:
            refused = error
    raise refused


def point_count(mesh: Mesh) -> int:
    """Return how many exact points a skin is measured at."""
    return int(np.clip(mesh.areas_mm2.sum() / _AREA_PER_POINT, 2000, 200_000))


def same_unit(stated: str, given: str, path: Path, key: str = "body.units") -> None:
    """Refuse a unit key that contradicts the file. A file that states none, or one we do not know, passes."""
    if stated not in ("?", given):
        limit = f"{stated}, the unit that the file states"
        raise BadInput([Problem(str(path), key, given, limit, f'set units = "{stated}", or export again')])


def _places(points: np.ndarray) -> str:
    shown = "; ".join(place_words(point) for point in points[:_SHOWN])
    return f" at {shown}{' ...' if len(points) > _SHOWN else ''}"
