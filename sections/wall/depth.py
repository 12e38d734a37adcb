"""How deep the material reaches below the skin, point by point."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from sections.numbers.frame import Plane
from sections.wall.levels import Even, Level, NearSeams, Sloped


@dataclass(frozen=True)
class DepthRule:
    """The depth of the material below the skin: the wall, and more near a seam.

    Within `thickness` of a seam the material reaches `height` below the skin; beyond, the flange's back falls to
    the wall at `underside` degrees from the seam plane. Where seams meet the deeper rule holds, so flanges run
    into one another without colliding.

    wall, height, thickness : mm. underside : deg, more than 0. seams : the planes with a flange along them, the cell on
    their plus side. edge : mm; an edge where a seam leaves an opening at a small angle is cut
    so thick; 0: left sharp.
    """

    wall: float
    height: float
    thickness: float
    underside: float
    seams: tuple[Plane, ...]
    edge: float = 0.0

    def at(self, points: np.ndarray) -> np.ndarray:
        """Return the depth, (n,) mm, at (n, 3) points."""
        return self._of_distance(self._to_seam(points))

    def levels(self, spare: float) -> tuple[Level, ...]:
        """Return the wall's level and, where there are seams, the flanges' height and each flange's back: the hollow is
        what is deeper than the wall and, for every seam, deeper than the height or the back.

        spare : mm, by which each counts beyond where another takes over.
        """
        wall = Even(self.wall)
        if not self.seams:
            return (wall,)
        slope = 1 / math.tan(math.radians(self.underside))
        reach = self.thickness + (self.height - self.wall) / slope
        top = NearSeams(self.height, planes=self.seams, reach=self.thickness + spare)
        start = self.height + self.thickness * slope
        return wall, top, *(Sloped(start, plane, slope, spare, reach + spare) for plane in self.seams)

    def between(self, points: np.ndarray, radius: float) -> tuple[np.ndarray, np.ndarray]:
        """Return the (least, most) depth, (n,) mm each, within `radius` mm of (n, 3) points."""
        distance = self._to_seam(points)
        return self._of_distance(distance + radius), self._of_distance(distance - radius)

    def _to_seam(self, points: np.ndarray) -> np.ndarray:
        """Return the distance, (n,) mm, to the nearest seam plane; inf without seams."""
        nearest = np.full(len(points), np.inf)
        for plane in self.seams:
            np.minimum(nearest, np.abs(plane.distance(points)), out=nearest)
        return nearest

    def _of_distance(self, distance: np.ndarray) -> np.ndarray:
        beyond = np.maximum(distance - self.thickness, 0.0)
        return np.maximum(self.height - beyond / math.tan(math.radians(self.underside)), self.wall)


def even_depth(depth: float) -> DepthRule:
    """Return the rule of material that reaches `depth` mm below the skin everywhere."""
    return DepthRule(depth, depth, 0.0, 45.0, ())
