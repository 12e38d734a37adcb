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


@dataclass(frozen=True)
class Hole:
    """A hole in a seam face. outline : its edge, in the seam frame. around : the rest of the face's edge."""

    outline: shapely.LinearRing
    around: shapely.Geometry

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
        """Return the distance from a point to the nearest free edge of the face, this hole's own left out, mm."""
        return float(self.around.distance(Point(point)))

    @property
    def sides(self) -> tuple[float, float]:
        """Length and width of the smallest rectangle around the outline, mm."""
        box = shapely.get_coordinates(shapely.minimum_rotated_rectangle(self.outline))
        one, two = np.linalg.norm(box[1] - box[0]), np.linalg.norm(box[2] - box[1])
        return float(max(one, two)), float(min(one, two))


def hole_at(face: MultiPolygon, joint: PlannedJoint, frame: Frame) -> Hole | None:
    """Return the hole of a face at a joint's place, or None when the face has none there."""
    return hole_around(face, frame.to_local(np.array([joint.frame.origin]))[0, :2])


def hole_around(face: MultiPolygon, place: np.ndarray) -> Hole | None:
    """Return the hole of a face at or very near a place (2,), or None when the face has none there."""
    point = Point(place)
    for part in face.geoms:
        for number, ring in enumerate(part.interiors):
            if shapely.Polygon(ring).contains(point) or ring.distance(point) < _NEAR:
                others = [part.exterior, *(r for i, r in enumerate(part.interiors) if i != number)]
                return Hole(ring, shapely.MultiLineString([list(r.coords) for r in others]))
    return None
