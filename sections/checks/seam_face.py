"""Reading holes off a built seam face."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from shapely import MultiPolygon, Point

from sections.numbers.circle import fit_circle
from sections.numbers.frame import Frame
from sections.plan.model import PlannedJoint

# mm; a hole whose outline comes this near a planned place is the hole meant.
_NEAR = 1.5
_NOWHERE = np.empty((0, 2))


@dataclass(frozen=True)
class Hole:
    """A hole in a seam face. outline : its edge, in the seam frame. edge : the face's free edge. others : the outlines
    of other joints' holes."""

    outline: shapely.LinearRing
    edge: shapely.Geometry
    others: shapely.Geometry

    @property
    def corners(self) -> np.ndarray:
        """Corners of the outline, (n, 2) mm."""
        return shapely.get_coordinates(self.outline)[:-1]

    @property
    def centre(self) -> np.ndarray:
        """Centre of the circle through the corners, (2,) mm."""
        return fit_circle(self.corners)[0]

    def room(self, point: np.ndarray) -> float:
        """Return the distance from a point inside to the hole's edge, mm."""
        return float(self.outline.distance(Point(point)))

    def land(self, point: np.ndarray) -> float:
        """Return the distance from a point to the free edge of the face, mm."""
        return float(self.edge.distance(Point(point)))

    @property
    def web(self) -> float:
        """Plastic between this hole and the nearest hole of another joint, mm; inf without others."""
        return float(self.outline.distance(self.others)) if not self.others.is_empty else np.inf

    @property
    def sides(self) -> tuple[float, float]:
        """Length and width of the smallest rectangle around the outline, mm."""
        box = shapely.get_coordinates(shapely.minimum_rotated_rectangle(self.outline))
        one, two = np.linalg.norm(box[1] - box[0]), np.linalg.norm(box[2] - box[1])
        return float(max(one, two)), float(min(one, two))


def hole_at(
    face: MultiPolygon, joint: PlannedJoint, frame: Frame, joints: tuple[PlannedJoint, ...] = ()
) -> Hole | None:
    """Return the hole of a face at a joint's place, or None when the face has none there.

    joints : all of the pair, whose holes are no free edge.
    """
    places = frame.to_local(np.array([j.frame.origin for j in (joint, *joints)]))[:, :2]
    return hole_around(face, places[0], places[1:])


def hole_around(face: MultiPolygon, place: np.ndarray, places: np.ndarray = _NOWHERE) -> Hole | None:
    """Return the hole of a face at or very near a place (2,), or None when the face has none there.

    places : (n, 2), where other holes are meant to be.
    """
    point, meant = Point(place), shapely.points(places)
    for part in face.geoms:
        for number, ring in enumerate(part.interiors):
            if shapely.Polygon(ring).contains(point) or ring.distance(point) < _NEAR:
                rest = [r for i, r in enumerate(part.interiors) if i != number]
                holes = [r for r in rest if shapely.contains(shapely.Polygon(r), meant).any()]
                edges = [part.exterior, *(r for r in rest if not any(r is hole for hole in holes))]
                return Hole(ring, _lines(edges), _lines(holes))
    return None


def _lines(rings: list) -> shapely.MultiLineString:
    return shapely.MultiLineString([list(ring.coords) for ring in rings])
