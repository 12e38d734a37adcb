"""From a file or a script to the Body."""

from __future__ import annotations

import tempfile
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path, PurePath
from typing import TypeVar

import numpy as np

from sections.body.body import Body, ExactSkin
from sections.body.cutting import refuse_openings
from sections.body.misplaced import refuse_misplaced
from sections.body.openings import given_solids
from sections.body.script import run_script
from sections.errors import BadInput, BuildFailed, Problem
from sections.numbers.mesh import Mesh, join
from sections.numbers.sampling import sample_surface
from sections.scan.block import block_behind
from sections.scan.mirror import made_symmetric, symmetrised
from sections.scan.prepare import Prepared, prepare
from sections.scan.sound import refuse, sound_mesh
from sections.settings import Settings
from sections.settings.body import MM_PER
from sections.settings.rules_body import STEP_ENDINGS, axes_matrix, comes_as_triangles
from sections.solids.crossing import doubtful_faces
from sections.solids.distance import Doubt, MeshDistance
from sections.solids.exact_solid import ExactSolid
from sections.solids.mesh_read import read_mesh
from sections.solids.print_solid import PrintSolid
from sections.solids.soundness import FOLDS_PER_DEVIATION, boundary_flaws
from sections.solids.step_read import closed_solids, read_step, transformed
from sections.solids.tessellate import Tessellation, tessellate
from sections.solids.write_step import step_bytes

# One exact point for about this much skin, mm2: some 250 to a section of a 300 mm bed.
_AREA_PER_POINT = 350.0
# The block behind an open skin is this much deeper than a flange: below the corner of a box its paths run aslant, and
# reach 1 / sqrt(3) as deep.
_DEEPER = 1.75
# How much coarser than its edges a face is first cut.
_COARSE = (5.0, 2.0, 1.0)


Made = TypeVar("Made")


@dataclass(frozen=True)
class _Source:
    """A closed skin in the vehicle frame, points on the true surface, and what was measured."""

    skin: Mesh
    points: np.ndarray
    notes: tuple[str, ...]
    exact: ExactSkin | None = None


def load_body(settings: Settings, folder: Path) -> Body:
    """Return the body `settings` describe; paths are relative to `folder`. Raises BadInput."""
    body = settings.body
    what = body.file or body.script
    source = _from_mesh(settings, folder) if comes_as_triangles(settings) else _from_shape(settings, folder)
    skin, notes = source.skin, list(source.notes)
    if body.symmetric:
        skin, off = symmetrised(skin, source.points, settings.mesh.deviation, what)
        if not body.open:
            refuse(boundary_flaws(skin), what)
        notes.append(f"symmetric in y = 0: halves differ by at most {off:.3f} mm")
    openings = given_solids(settings.openings, "openings", settings.mesh.deviation, folder)
    size = " x ".join(f"{extent:.1f}" for extent in skin.size)
    notes.insert(0, f"body {PurePath(what).name}: {size} mm, {len(skin)} triangles")
    block, border = _behind(skin, settings, what, notes) if body.open else (skin, None)
    refuse_openings(settings, openings, skin, block)
    doubt = Doubt(doubtful_faces(skin), block)
    return Body(skin, block, border, doubt, openings, source.points, tuple(notes), source.exact)


def _behind(skin: Mesh, settings: Settings, what: str, notes: list[str]) -> tuple[Mesh, Mesh]:
    """Return (the block behind an open skin, deep enough for its flanges; its border)."""
    depth = _DEEPER * max(settings.flange.height, settings.wall.thickness) + settings.mesh.pitch
    made = block_behind(skin, depth, settings.mesh.deviation / FOLDS_PER_DEVIATION, what)
    least = f"{made.least:.1f} mm deep at the tightest place, {made.median:.1f} as a rule"
    ragged = f"; {made.trimmed:.3g} mm2 of ragged rim cut off" if made.trimmed else ""
    notes.append(f"open skin: wall and flanges are laid in a block behind it, {least}{ragged}")
    if not settings.body.symmetric:
        return made.mesh, made.border
    block = made_symmetric(made.mesh, what)
    refuse(boundary_flaws(block), what)
    return block, join([made.border, made.border.mirrored_y()])


def prepared_skin(settings: Settings, folder: Path) -> Prepared:
    """Return what the mesh, or the STEP file taken as triangles, that `settings` name becomes. Raises BadInput."""
    body = settings.body
    path = folder / body.file
    if path.suffix.lower() in STEP_ENDINGS:
        shape, stated = read_step(path)
        same_unit(stated, body.units, path)
        # OCC has brought the file to millimetres.
        deviation = settings.mesh.deviation
        return _finest_sound(
            lambda coarse: prepare(tessellate(shape, deviation, body.file, coarse).mesh, settings, path),
            deviation,
            body.file,
        )
    mesh, stated = read_mesh(path)
    same_unit(stated, body.units, path)
    given = Mesh(mesh.vertices * MM_PER[body.units], mesh.faces)
    if settings.datum is None and settings.half is None:
        placed = body.scale * given.vertices @ axes_matrix(body.axes).T + np.asarray(body.shift)
        refuse_misplaced(settings, np.array([placed.min(0), placed.max(0)]))
    return prepare(given, settings, path)


def _from_mesh(settings: Settings, folder: Path) -> _Source:
    made = prepared_skin(settings, folder)
    points, _ = sample_surface(made.skin, _point_count(made.skin), seed=11)
    return _Source(made.skin, points, made.lines)


def _from_shape(settings: Settings, folder: Path) -> _Source:
    body = settings.body
    what = body.file or body.script
    if body.script is not None:
        shape = _as_read_back(run_script(body.script, folder, "body.script"), what)
        factor = MM_PER[body.units]
    else:
        shape, stated = read_step(folder / body.file)
        same_unit(stated, body.units, folder / body.file)
        factor = 1.0  # OCC has brought the file to millimetres
    shape = transformed(shape, axes_matrix(body.axes), body.shift, factor * body.scale)
    solids = closed_solids(shape, what)
    refuse_misplaced(settings, ExactSolid.of(solids).bounds)
    made = [_sound_tessellation(solid, settings.mesh.deviation, what) for solid in solids]
    meshes = [mesh for _, mesh in made]
    skin = _union(meshes, what)
    points = np.vstack([one.sample(_point_count(one.mesh), seed=11).points for one, _ in made])
    if len(made) > 1:
        points = points[MeshDistance(skin).unsigned(points) < 2 * settings.mesh.deviation]
    off = float(MeshDistance(skin).unsigned(points).max())
    exact = ExactSkin(tuple(ExactSolid(solid) for solid in solids), tuple(one for one, _ in made))
    note = f"skin: at most {off:.3f} mm off the exact surface, measured at {len(points)} points"
    return _Source(skin, points, (note,), exact)


def _as_read_back(shape, what: str):
    """Return a script's shape as it comes back from a STEP file.

    OCC triangulates the two alike but not equally, and a joint at the limit of its room would sit elsewhere: so a
    body gives the same sections from its script and from the file written of it.
    """
    with tempfile.TemporaryDirectory(prefix="sections-") as held:
        path = Path(held) / "body.step"
        try:
            path.write_bytes(step_bytes(shape, "body"))
        except BuildFailed as error:
            limit = f"a shape that can be written as STEP ({error})"
            raise BadInput([Problem(what, "body.script", "", limit, "return a solid")]) from error
        return read_step(path)[0]


def _sound_tessellation(solid, deviation: float, what: str) -> tuple[Tessellation, Mesh]:
    """Return (triangles of an exact solid, the same welded and proved sound)."""

    def made(coarse: float) -> tuple[Tessellation, Mesh]:
        tessellation = tessellate(solid, deviation, what, coarse)
        return tessellation, sound_mesh(tessellation.mesh, deviation, what)

    return _finest_sound(made, deviation, what)


def _finest_sound(make: Callable[[float], Made], deviation: float, what: str) -> Made:
    """Return what `make` makes of the coarsest start that is sound. Raises BadInput: what is wrong at the finest."""
    refused = BadInput([])
    for coarse in _COARSE:
        try:
            return make(coarse)
        except BuildFailed as error:
            refused = BadInput([Problem(what, "mesh.deviation", f"{deviation:g}", str(error), "allow more")])
        except BadInput as error:
            refused = error
    raise refused


def _union(meshes: list[Mesh], what: str) -> Mesh:
    """Return one skin around all bodies; a single one is left as it is."""
    if len(meshes) == 1:
        return meshes[0]
    first, *others = (PrintSolid.of(mesh, what) for mesh in meshes)
    return first.unite(others).mesh()


def _point_count(mesh: Mesh) -> int:
    return int(np.clip(mesh.areas_mm2.sum() / _AREA_PER_POINT, 2000, 200_000))


def same_unit(stated: str, given: str, path: Path, key: str = "body.units") -> None:
    """Refuse a unit key that contradicts the file. A file that states none, or one we do not know, passes."""
    if stated not in ("?", given):
        limit = f"{stated}, the unit that the file states"
        raise BadInput([Problem(str(path), key, given, limit, f'set units = "{stated}", or export again')])
