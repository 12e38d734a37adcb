"""Reading holes off a built seam face."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

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
class FaceHole:
    """A hole in a seam face. outline : its edge, in the seam frame. edge : the face's free edge."""

    outline: shapely.LinearRing
    edge: shapely.Geometry

    @property
    def corners(self) -> np.ndarray:
        """Corners of the outline, (n, 2) mm."""
        return shapely.get_coordinates(self.outline)[:-1]

    @cached_property
    def centre(self) -> np.ndarray:
        """Centre of the circle through the corners, (2,) mm."""
        return fit_circle(self.corners)[0]

    def room(self, point: np.ndarray) -> float:
        """Return the distance from a point inside to the hole's edge, mm."""
        return float(self.outline.distance(Point(point)))

    def web(self, point: np.ndarray) -> float:
        """Return the distance from a point to the free edge of the face, mm."""
        return float(self.edge.distance(Point(point)))

    @property
    def sides(self) -> tuple[float, float]:
        """Length and width of the smallest rectangle around the outline, mm."""
        box = shapely.get_coordinates(shapely.minimum_rotated_rectangle(self.outline))
        one, two = np.linalg.norm(box[1] - box[0]), np.linalg.norm(box[2] - box[1])
        return float(max(one, two)), float(min(one, two))


class FaceHoles:
    """The holes of one seam face, to be found by where they are."""

    def __init__(self, face: MultiPolygon):
        """Take the holes of a face, in the x, y of a frame on the seam, mm."""
        parts = list(face.geoms)
        self._edges = [part.exterior for part in parts]
        self._part = np.repeat(np.arange(len(parts)), [len(part.interiors) for part in parts])
        self._rings = np.array([ring for part in parts for ring in part.interiors], dtype=object)
        self._inside = shapely.polygons(self._rings)
        shapely.prepare(self._inside)

    def at(self, place: np.ndarray, places: np.ndarray = _NOWHERE) -> FaceHole | None:
        """Return the hole at or very near a place (2,), or None when there is none.

        places : (n, 2), where other holes are meant to be; those are no free edge.
        """
        point = Point(place)
        near = shapely.contains(self._inside, point) | (shapely.distance(self._rings, point) < _NEAR)
        if not near.any():
            return None
        number = int(near.argmax())
        rest = self._part == self._part[number]
        rest[number] = False
        meant = np.zeros(len(rest), bool)
        meant[rest] = shapely.contains_xy(self._inside[rest][:, None], *places.T).any(1)
        edges = shapely.multilinestrings([self._edges[self._part[number]], *self._rings[rest & ~meant]])
        return FaceHole(self._rings[number], edges)

    def of(self, joint: PlannedJoint, frame: Frame, joints: tuple[PlannedJoint, ...] = ()) -> FaceHole | None:
        """Return the hole at a joint's place, or None. joints : all of the pair, whose holes are no free edge."""
        places = frame.to_local(np.array([j.frame.origin for j in (joint, *joints)]))[:, :2]
        return self.at(places[0], places[1:])
