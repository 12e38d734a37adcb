"""A drill guide: a plate on a section's seam face, hooked over its skin and its end.

A body grown outward by marching cubes cuts sharp edges off, and guides clashed with creases: the body itself is cut
from them too.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import shapely
from shapely import Point, Polygon

from sections.features.letters import text_outline, text_width
from sections.numbers.frame import Frame, Plane
from sections.plan.model import PlannedJoint
from sections.settings.guides import GuidesTable
from sections.solids.print_solid import PrintSolid
from sections.standards.bushes import bush_outer

# mm per side; between a bush and its bore (a press fit in print: makers' practice), off the edge of the face.
_BUSH_FIT, _SPARE = 0.05, 1.0
# mm; letters of a guide's mark, their stroke and depth; between places tried for it.
_LETTER, _STROKE, _DEEP, _TRY = 6.0, 1.0, 0.8, 3.0
_QUARTER = 24
# mm; steps in which a lip is kept clear of what it passes, and what is looked at of the body at the seam itself.
_STEP, _THIN = 1.0, 0.05


@dataclass(frozen=True)
class GuideTask:
    """A guide to make. section : its id, cut in. frame : on the seam, z out of the section. face : the section's face
    on it, x and y, mm. ends : seams that end it, the section on their plus side. joints : of the pair. outside : the
    body grown by so many mm, near the face. taken : what is where the guide goes: the body, pockets over tongues."""

    section: str
    frame: Frame
    face: Polygon
    ends: tuple[Plane, ...]
    joints: tuple[PlannedJoint, ...]
    outside: Callable[[float], PrintSolid]
    taken: list[PrintSolid]


def bore_of(hole: float, table: GuidesTable) -> float:
    """Return the diameter of a guide's bore over a hole, mm."""
    return bush_outer(hole) + 2 * _BUSH_FIT if table.bushes else hole


def make_guide(task: GuideTask, table: GuidesTable) -> PrintSolid:
    """Return the guide in the vehicle frame."""
    reach = table.fit + table.wall
    skin = task.outside(reach)
    around = task.face.buffer(reach + _SPARE, quad_segs=_QUARTER)
    plate = PrintSolid.prism(around, 0.0, table.thickness).placed(task.frame).common(skin)
    wide = task.face.buffer(reach + _SPARE + table.lip, quad_segs=_QUARTER)
    lip = PrintSolid.prism(wide, -table.lip, 0.01).placed(task.frame).common(skin).cut([_way_on(task, table)])
    parts = [lip]
    end = _end(task)
    if end is not None:
        # The plate must not hide what lies beyond; the stop hangs from it, past the section's end.
        stop = PrintSolid.prism(around, -table.lip, 0.01).placed(task.frame).common(skin)
        beyond = Plane(tuple(-c for c in end.normal), -end.offset + table.fit)
        within = Plane(end.normal, end.offset - reach)
        parts.append(stop.clip([beyond, within]))
    whole = plate.unite(parts)
    holes = [PrintSolid.prism(_disc(task, joint, table), -1.0, table.thickness + 1.0) for joint in _with_holes(task)]
    mark = _mark(task, table)
    if mark is not None:
        holes.append(PrintSolid.prism(mark, table.thickness - _DEEP, table.thickness + 1.0))
    made = whole.cut([*(hole.placed(task.frame) for hole in holes), *task.taken])
    return max(made.pieces(), key=lambda piece: piece.volume_mm3)


def _way_on(task: GuideTask, table: GuidesTable) -> PrintSolid:
    """Return what a lip keeps clear of: the body, grown by the fit, and all of it nearer to the seam that the lip
    passes on its way straight on. So it slides on where the body narrows behind the seam too."""
    normal = np.asarray(task.frame.z)
    seam = float(normal @ np.asarray(task.frame.origin))
    body = task.outside(table.fit)
    steps = np.linspace(0.0, table.lip + _SPARE, int(np.ceil((table.lip + _SPARE) / _STEP)) + 1)
    passed = []
    for near, deep in pairwise(steps):
        slab = [Plane(tuple(normal), seam - near - _THIN), Plane(tuple(-normal), -seam - _THIN)]
        over = body.clip(slab).shadow(task.frame)
        if not over.is_empty:
            passed.append(PrintSolid.prism(over, -deep, -near).placed(task.frame))
    return body.unite(passed)


def _end(task: GuideTask) -> Plane | None:
    """Return the seam that ends the face along most of its edge."""
    ring = task.face.exterior.segmentize(1.0)
    places = task.frame.to_world(np.column_stack([shapely.get_coordinates(ring), np.zeros(len(ring.coords))]))
    counted = [(int((np.abs(plane.distance(places)) < 0.05).sum()), -n) for n, plane in enumerate(task.ends)]
    most = max(counted, default=(0, 0))
    return task.ends[-most[1]] if most[0] >= 5 else None


def _with_holes(task: GuideTask) -> list[PlannedJoint]:
    return [joint for joint in task.joints if joint.joint.drilled is not None]


def _disc(task: GuideTask, joint: PlannedJoint, table: GuidesTable) -> Polygon:
    at = task.frame.to_local(np.array([joint.frame.origin]))[0, :2]
    radius = bore_of(joint.joint.drilled, table) / 2
    return Point(at).buffer(radius / np.cos(np.pi / (4 * _QUARTER)), quad_segs=_QUARTER)


def _mark(task: GuideTask, table: GuidesTable) -> shapely.Geometry | None:
    """Return the section's name where it finds room on the plate, along its length; None where it finds none."""
    corners = shapely.get_coordinates(shapely.minimum_rotated_rectangle(task.face))
    sides = [corners[1] - corners[0], corners[2] - corners[1]]
    way = max(sides, key=np.linalg.norm)
    angle = np.degrees(np.arctan2(way[1], way[0]))
    wide = text_width(task.section, _LETTER, _STROKE)
    text = shapely.affinity.translate(text_outline(task.section, _LETTER, _STROKE), -wide / 2, -_LETTER / 2)
    text = shapely.affinity.rotate(text, angle if abs(angle) <= 90 else angle - 180, origin=(0, 0))
    room = task.face.buffer(-1.0) - shapely.union_all([_disc(task, j, table).buffer(1.5) for j in _with_holes(task)])
    box = shapely.minimum_rotated_rectangle(text)
    low_x, low_y, high_x, high_y = task.face.bounds
    for x in np.arange(low_x, high_x, _TRY):
        for y in np.arange(low_y, high_y, _TRY):
            if room.contains(shapely.affinity.translate(box, x, y)):
                return shapely.affinity.translate(text, x, y)
    return None
