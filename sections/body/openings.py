"""Solids given in the parameter file: openings, and what is kept off."""

from __future__ import annotations

from pathlib import Path

import cadquery as cq
from OCP.TopoDS import TopoDS_Shape

from sections.body.body import OpeningSolid
from sections.body.edging import edged
from sections.body.foreign import foreign_script, foreign_step
from sections.errors import BadInput, BuildFailed, Problem
from sections.numbers.mesh import Mesh, join
from sections.scan.sound_mesh import sound_mesh
from sections.settings import Settings
from sections.settings.openings import Opening
from sections.settings.rules_body import STEP_ENDINGS
from sections.settings.shapes import AnyShape, Box, Cylinder, Profile
from sections.solids.exact_solid import ExactSolid
from sections.solids.mesh_read import read_mesh
from sections.solids.step_read import closed_solids
from sections.solids.tessellate import tessellate


def given_solids(settings: Settings, table: str, folder: Path) -> tuple[OpeningSolid, ...]:
    """Return every solid of a table, and the mirror images asked for, closed, mm. table : its key. Raises BadInput."""
    made, deviation = [], settings.mesh.deviation
    for index, one in enumerate(getattr(settings, table)):
        mesh, exact = _solid(one, settings, folder, f"{table}[{index + 1}]")
        solid = OpeningSolid(one.id, one.id, mesh, exact)
        if isinstance(one, Opening):
            solid = edged(one, solid, deviation, f"{table}[{index + 1}]")
        made.append(solid)
        if one.mirror:
            made.append(solid.mirrored_y(f"{one.id}-mirrored"))
    return tuple(made)


def opening_shape(
    opening: AnyShape, folder: Path, key: str, dimensions: dict[str, float] | None = None
) -> TopoDS_Shape:
    """Return the opening as an exact shape, vehicle frame, mm. dimensions : by name, for a script. Raises BadInput."""
    if isinstance(opening, Box):
        size = [high - low for low, high in zip(opening.low, opening.high, strict=True)]
        return cq.Solid.makeBox(*size, pnt=cq.Vector(*opening.low)).wrapped
    if isinstance(opening, Cylinder):
        axis = cq.Vector(*opening.axis).normalized()
        start = cq.Vector(*opening.centre) - axis * (opening.length / 2)
        return cq.Solid.makeCylinder(opening.radius, opening.length, start, axis).wrapped
    if isinstance(opening, Profile):
        return _profile(opening, key).wrapped
    if opening.script is not None:
        return foreign_script(opening.script, folder, f"{key}.script", dimensions)
    return foreign_step(folder / opening.file)[0]


def opening_mesh(opening: AnyShape, settings: Settings, folder: Path, key: str) -> Mesh:
    """Return what an opening cuts away, edges without what is made along them, as a closed mesh, mm. key : of the
    opening, in the parameter file. Raises BadInput."""
    return _solid(opening, settings, folder, key)[0]


def _solid(opening: AnyShape, settings: Settings, folder: Path, key: str) -> tuple[Mesh, ExactSolid | None]:
    """Return (the opening as a closed mesh, the same with its own faces; None when its file is a mesh)."""
    file, deviation = getattr(opening, "file", None), settings.mesh.deviation
    if file is not None and Path(file).suffix.lower() not in STEP_ENDINGS:
        return sound_mesh(read_mesh(folder / file)[0], deviation, str(folder / file)), None
    shape = opening_shape(opening, folder, key, settings.dimension_values)
    solids = closed_solids(shape, opening.id)
    try:
        meshes = [tessellate(solid, deviation, opening.id).mesh for solid in solids]
    except BuildFailed as error:
        raise BadInput([Problem(opening.id, key, "", str(error), "simplify the solid")]) from error
    return sound_mesh(join(meshes), deviation, opening.id), ExactSolid.of(solids)


def _profile(opening: Profile, key: str) -> cq.Shape:
    """Return the outline swept along its axis, corners rounded."""
    plane = {"x": cq.Plane.YZ(), "y": cq.Plane((0, 0, 0), (1, 0, 0), (0, -1, 0)), "z": cq.Plane.XY()}[opening.along]
    # The plane whose x is vehicle x and normal is -y has local y = z; its sweep runs toward -y.
    sign = -1.0 if opening.along == "y" else 1.0
    start, stop = sorted((sign * opening.start, sign * opening.stop))
    outline = cq.Workplane(plane).workplane(offset=start).polyline([tuple(p) for p in opening.points]).close()
    solid = outline.extrude(stop - start)
    if opening.corner > 0:
        edges = solid.edges(f"|{opening.along.upper()}")
        try:
            solid = edges.fillet(opening.corner)
        except Exception as error:  # OCC reports a fillet it cannot make with several exception types
            limit = "a radius every corner has room for"
            raise BadInput(
                [Problem(opening.id, f"{key}.corner", f"{opening.corner:g}", limit, "make it smaller")]
            ) from error
    return solid.val()
