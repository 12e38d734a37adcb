"""The surfaces that bound a hollow, each smooth for itself: the wall's inner face, flanges' inner edges and backs."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Protocol

import numpy as np

from sections.numbers.frame import Plane
from sections.solids.distance import MeshDistance
from sections.wall.lattice import Lattice, narrow_bands

# mm; a field is nowhere nearer to zero at a node.
_NEVER_ZERO = 1e-7
# Least slope of a field that is reckoned with: near where depths meet, it has none to speak of.
LEAST_SLOPE = 0.3


class Level(Protocol):
    """A depth below the skin, mm, everywhere; and where nothing hangs on it."""

    slope: float

    def at(self, points: np.ndarray) -> np.ndarray:
        """Return the depth, (n,) mm, at (n, 3) points."""

    def gradient(self) -> np.ndarray:
        """Return how the depth changes with the place, (3,)."""

    def within(self, bounds: np.ndarray) -> np.ndarray:
        """Return the part, (2, 3) mm, of (2, 3) bounds that the level counts in."""

    def settled(self, points: np.ndarray, radius: float) -> np.ndarray:
        """Return, (n,), 1 where all within `radius` mm is to be taken for material, -1 for hollow, because other levels
        bound the hollow there; 0 where this one counts."""


@dataclass(frozen=True)
class Even:
    """The same depth, mm, everywhere."""

    depth: float
    slope: float = 0.0

    def at(self, points: np.ndarray) -> np.ndarray:
        """Return the depth at points."""
        return np.full(len(points), self.depth)

    def gradient(self) -> np.ndarray:
        """Return how the depth changes."""
        return np.zeros(3)

    def within(self, bounds: np.ndarray) -> np.ndarray:
        """Return where it counts: everywhere."""
        return bounds

    def settled(self, points: np.ndarray, radius: float) -> np.ndarray:
        """Return where it does not count: nowhere."""
        return np.zeros(len(points))


@dataclass(frozen=True)
class NearSeams(Even):
    """A flange's height: an even depth that counts no further than `reach` mm from one of the seams. planes : the cell
    on their plus side."""

    planes: tuple[Plane, ...] = ()
    reach: float = 0.0

    def settled(self, points: np.ndarray, radius: float) -> np.ndarray:
        """Return where it does not count: away from all seams, where it is material."""
        off = np.min([plane.distance(points) for plane in self.planes], axis=0)
        return np.where(off - radius > self.reach, 1.0, 0.0)


@dataclass(frozen=True)
class Sloped:
    """A flange's back: `depth` mm at the seam, `slope` mm less for each mm off it. plane : the cell on its plus side.
    It counts from `before` mm before the seam to `reach` mm behind it."""

    depth: float
    plane: Plane
    slope: float
    before: float
    reach: float

    def at(self, points: np.ndarray) -> np.ndarray:
        """Return the depth at points."""
        return self.depth - self.slope * self.plane.distance(points)

    def gradient(self) -> np.ndarray:
        """Return how the depth changes."""
        return -self.slope * np.asarray(self.plane.normal)

    def within(self, bounds: np.ndarray) -> np.ndarray:
        """Return where it counts: from before the seam to its reach."""
        return self.plane.between(bounds, -self.before, self.reach)

    def settled(self, points: np.ndarray, radius: float) -> np.ndarray:
        """Return where it does not count: beyond its reach hollow, before the seam material."""
        off = self.plane.distance(points)
        return np.where(off - radius > self.reach, -1.0, np.where(off + radius < -self.before, 1.0, 0.0))


@dataclass(frozen=True)
class Field:
    """How much less deep places are than a level: positive in the material, negative in the hollow.

    bound : the depth the hollow has in the end, (n,) mm at (n, 3) points: where that is another level's, this one's
    surface is cut away.
    """

    skin: MeshDistance
    level: Level
    bound: Callable[[np.ndarray], np.ndarray]

    def counts(self, points: np.ndarray, spare: float) -> np.ndarray:
        """Return where, (n,), the level is within `spare` mm of what bounds the hollow in the end."""
        return np.abs(self.level.at(points) - self.bound(points)) < spare

    def values(self, points: np.ndarray) -> np.ndarray:
        """Return the field, (n,) mm, at (n, 3) points."""
        return self.level.at(points) - self.skin.depth(points)

    def with_slope(self, points: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """Return (the field, (n,) mm; its gradient, (n, 3))."""
        depth, nearest = self.skin.depth_and_nearest(points)
        away = (points - nearest) * np.sign(depth)[:, None]
        inward = away / np.maximum(np.linalg.norm(away, axis=1), 1e-12)[:, None]
        return self.level.at(points) - depth, self.level.gradient() - inward

    def off(self, points: np.ndarray) -> np.ndarray:
        """Return about how far, (n,) mm, points are off the surface where the field is zero."""
        value, gradient = self.with_slope(points)
        return np.abs(value) / np.maximum(np.linalg.norm(gradient, axis=1), LEAST_SLOPE)

    def onto(self, points: np.ndarray, steps: int = 2) -> tuple[np.ndarray, np.ndarray]:
        """Return (points moved to where the field is zero, (n, 3) mm, by Newton's steps; how far they are off it then,
        (n,) mm)."""
        for _ in range(steps):
            value, gradient = self.with_slope(points)
            steep = np.maximum(np.einsum("ij,ij->i", gradient, gradient), LEAST_SLOPE**2)
            points = points - (value / steep)[:, None] * gradient
        return points, self.off(points)


def sampled(fields: list[Field], lattice: Lattice) -> np.ndarray:
    """Return fields of one skin on all nodes of a lattice, (count, nx, ny, nz): true values near the zero of any, +1 or
    -1 elsewhere; their depths are measured once."""
    skin = fields[0].skin

    def verdict(points: np.ndarray, radius: float) -> np.ndarray:
        depth, signs = skin.depth(points), []
        for field in fields:
            value, far = field.level.at(points) - depth, radius * (1 + field.level.slope)
            sign = np.where(value > far, 1.0, np.where(value < -far, -1.0, 0.0))
            settled = field.level.settled(points, radius)
            signs.append(np.where(settled != 0, settled, sign))
        return np.column_stack(signs)

    def values(points: np.ndarray) -> np.ndarray:
        depth, found = skin.depth(points), []
        for field in fields:
            value, settled = field.level.at(points) - depth, field.level.settled(points, 0.0)
            found.append(np.where(settled != 0, settled, value))
        values = np.column_stack(found)
        return np.where(np.abs(values) < _NEVER_ZERO, _NEVER_ZERO, values)

    return narrow_bands(lattice, verdict, values, len(fields))
