"""Whether a shell fits a bed in some pose, fast: by the corners of its hull."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from scipy.spatial import ConvexHull, QhullError

from sections.numbers.box import Turns, tight_axes

_TURNS = Turns(np.arange(0.0, 180.0, 3.0))
# mm; what is too large by this little fits.
_ROUNDING = 1e-6


def excess(points: np.ndarray, rooms: np.ndarray) -> float:
    """Return by how much, mm, points (n, 3) are too large for the best of rooms (k, 3) in the best pose; 0 or less
    where they fit.

    Poses: a few boxes around them on each of their sides, turned about the vertical by 3 degrees a time: flat, upright
    or diagonal. What is longer than every room's diagonal is tried as it stands only.
    """
    span = np.ptp(points, axis=0)
    best = float((span - rooms - _ROUNDING).max(1).min())
    if best <= 0 or span.max() > np.linalg.norm(rooms, axis=1).max():
        return best
    hull = _hull(points)
    for base in _bases(hull):
        best = min(best, _upright(hull @ base.T, rooms))
        if best <= 0:
            break
    return best


def least_width(points: np.ndarray) -> float:
    """Return the middle extent, mm, of a tight box around points (n, 3): how wide a curved strip is."""
    hull = _hull(points)
    return float(np.sort(np.ptp(hull @ tight_axes(hull).T, axis=0))[1])


def _bases(hull: np.ndarray) -> Iterator[np.ndarray]:
    """Yield rotations (3, 3), rows the axes, of boxes to turn: as it stands, and, which takes longer, a tight one."""
    yield np.eye(3)
    yield tight_axes(hull)


def _upright(local: np.ndarray, rooms: np.ndarray) -> float:
    """Return the least excess of points (n, 3) set on each side of their box and turned about the vertical."""
    best = np.inf
    for axis in range(3):
        along, across = _TURNS.extents(local[:, [axis - 2, axis - 1]].T)
        height = np.ptp(local[:, axis])
        size = np.column_stack([along, across, np.full(len(along), height)])
        best = min(best, float((size[:, None] - rooms - _ROUNDING).max(2).min()))
        if best <= 0:
            break
    return best


def _hull(points: np.ndarray) -> np.ndarray:
    try:
        return points[ConvexHull(points).vertices]
    except QhullError:
        # All in one plane.
        return points
