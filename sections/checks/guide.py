"""Drill guides as built, put on built sections: they go on, rest, hook over the skin, meet the holes, one way only."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from shapely import MultiPolygon, Point, Polygon

from sections.building.guide import bore_of
from sections.checks.built_parts import BuiltSection
from sections.checks.finding import Finding, Measure, judge_span
from sections.numbers.circle import fit_circle
from sections.numbers.frame import Frame
from sections.numbers.mesh import Mesh
from sections.numbers.tolerances import IN_THE_WAY_WITH_PLAY
from sections.plan.model import PlannedJoint
from sections.settings import Settings
from sections.settings.guides import GuidesTable
from sections.solids.distance import MeshDistance
from sections.solids.print_solid import PrintSolid

# mm3; with more in common, put on turned round, it does not go on.
_BARRED = 200.0
# Of the section's face, at least, that a guide rests on; mm; a bore may be off its hole, a lip off its gap.
_RESTS, _OFF, _LIP = 0.6, 0.05, 0.15
# Parts of its lip by which a guide is off its section on its way.
_WAY = np.array([0.02, 0.1, 0.25, 0.5, 0.75, 1.0])
# mm; a lip is looked at so far below its plate and above its end, at places so far apart along the edge, those of them
# this near to the skin; at so many depths.
_OFF_PLATE, _ALONG, _ON_SKIN, _LEVELS = 0.05, 3.0, 0.05, 9


@dataclass(frozen=True)
class BuiltGuide:
    """A guide read back, in place. frame : on the seam, z out of the section it is put on."""

    id: str
    mesh: Mesh
    frame: Frame
    joints: tuple[PlannedJoint, ...]

    @property
    def solid(self) -> PrintSolid:
        """The guide as a solid, in the vehicle frame."""
        return PrintSolid.of(self.mesh, self.id)


def check_guide(
    guide: BuiltGuide, section: BuiltSection, face: MultiPolygon, skin: MeshDistance, settings: Settings
) -> tuple[list[Finding], list[Measure]]:
    """Return what is wrong with a guide. face : the built section's, in the guide's x, y. skin : the body's."""
    table, findings, measures = settings.guides, [], []
    where = guide.frame.at((*_middle(face), 0.0)).origin
    for name, value, span, unit, text in _readings(guide, section, face, skin, settings, table):
        found, read = judge_span(f"guide-{name}", guide.id, value, span, unit, where, text)
        findings, measures = findings + found, measures + read
    return findings, measures


def _readings(guide: BuiltGuide, section, face, skin: MeshDistance, settings: Settings, table: GuidesTable):
    """Yield (name, measured, (least, most), unit, text)."""
    solid = guide.solid
    common = max(solid.common(section.solid).volume_mm3, 0.0)
    yield "clash", common, (0.0, IN_THE_WAY_WITH_PLAY), "mm3", "it does not go on its section"
    ways = [solid.moved(off * np.asarray(guide.frame.z)).common(section.solid) for off in _WAY * table.lip]
    way = max(*(one.volume_mm3 for one in ways), 0.0)
    yield "way-on", way, (0.0, IN_THE_WAY_WITH_PLAY), "mm3", "what is in its way as it is put on, straight off the seam"
    resting = _section(solid, guide.frame, 0.05)
    share = (resting & face).area / face.area
    yield "rests", share, (_RESTS, np.inf), "", "the part of the section's face that it rests on"
    turned = _turned(solid, guide.frame, _middle(face)).common(section.solid).volume_mm3
    yield "turned", turned, (_BARRED, np.inf), "mm3", "put on turned round, it would go on too"
    gaps = _lip_gaps(guide, face, skin, table)
    if len(gaps):
        limits = (table.fit - _LIP - settings.mesh.deviation, table.fit + _LIP + settings.mesh.deviation)
        yield "lip-least", float(gaps.min()), limits, "mm", "between its lip and the skin"
        yield "lip-most", float(gaps.max()), limits, "mm", "between its lip and the skin"
    level = _section(solid, guide.frame, table.thickness / 2)
    for joint in guide.joints:
        hole = joint.joint.drilled
        at = guide.frame.to_local(np.array([joint.frame.origin]))[0, :2]
        if hole is None or not _filled(face).contains(Point(at)):
            continue
        bore, own = _ring_around(level, at), _ring_around(face, at)
        if bore is None or own is None:
            yield "bore-off", np.inf, (0.0, _OFF), "mm", f"no bore over {joint.id}"
            continue
        centre, radius = fit_circle(bore)[:2]
        meant = at if getattr(joint.joint, "slot", False) else fit_circle(own)[0]
        yield "bore-off", float(np.linalg.norm(centre - meant)), (0.0, _OFF), "mm", f"its bore over {joint.id}"
        wanted = bore_of(hole, table)
        yield "bore", 2 * float(radius), (wanted - _OFF, wanted + _OFF), "mm", f"diameter of its bore over {joint.id}"


def _middle(face: MultiPolygon) -> np.ndarray:
    return np.array(face.centroid.coords[0])


def _section(solid: PrintSolid, frame: Frame, height: float) -> MultiPolygon:
    return solid.section_at(frame.at((0.0, 0.0, height)))


def _turned(solid: PrintSolid, frame: Frame, about: np.ndarray) -> PrintSolid:
    """Return a guide put on turned round: by half a turn about the seam's normal, through the middle of the face."""
    here = frame.at((*about, 0.0))
    mesh = here.unplace(solid.mesh())
    return PrintSolid.of(here.place(Mesh(mesh.vertices * [-1.0, -1.0, 1.0], mesh.faces)), "turned")


def _lip_gaps(guide: BuiltGuide, face: MultiPolygon, skin: MeshDistance, table: GuidesTable) -> np.ndarray:
    """Return how far, (n,) mm, a guide's lip is off the skin at places along the section's edge: by rays off the skin,
    the nearest at any depth. Where the body narrows behind the seam, a lip that slides on is further off there."""
    ring = max(face.geoms, key=lambda part: part.area).exterior
    flat = shapely.get_coordinates(ring.segmentize(_ALONG))[:-1]
    edge = guide.frame.to_world(np.column_stack([flat, np.zeros(len(flat))]))
    flat = flat[np.abs(skin.depth(edge)) < _ON_SKIN]
    lip, gaps = MeshDistance(guide.mesh), np.full(len(flat), np.inf)
    for deep in np.linspace(_OFF_PLATE, table.lip - _OFF_PLATE, _LEVELS):
        below = guide.frame.to_world(np.column_stack([flat, np.full(len(flat), -deep)]))
        _, on_skin, outward = skin.nearest_and_depth(below)
        np.minimum(gaps, lip.first_hit(on_skin, outward)[1], out=gaps)
    return gaps[gaps < table.lip]


def _filled(face: MultiPolygon) -> shapely.Geometry:
    return shapely.union_all([Polygon(part.exterior) for part in face.geoms])


def _ring_around(face: MultiPolygon, at: np.ndarray) -> np.ndarray | None:
    """Return the corners of the hole of a face that a place lies in, (n, 2), or None."""
    for part in face.geoms:
        for ring in part.interiors:
            if Polygon(ring).contains(Point(at)):
                return shapely.get_coordinates(ring)[:-1]
    return None
