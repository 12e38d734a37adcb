"""Whether a shell fits a bed in some pose, fast: by the corners of its hull."""

from __future__ import annotations

import numpy as np
from scipy.spatial import ConvexHull, QhullError

from sections.numbers.box import BoxTurns, tight_axes, tightened

_TURNS = BoxTurns(np.arange(0.0, 90.0, 3.0))
# mm; what is too large by this little fits.
_ROUNDING = 1e-6
# mm; what is too large by so much is not tightened further.
_NEARLY = 20.0
# So few points are all looked at: to find which of them matter takes longer.
_FEW = 200


def excess(points: np.ndarray, rooms: np.ndarray) -> float:
    """Return by how much, mm, points (n, 3) are too large for the best of rooms (k, 3) in the best pose; 0 or less
    where they fit.

    Poses: as they stand, and tight boxes around them, each of their sides down, turned about the vertical by 3 degrees
    a time: flat, upright or diagonal. What is longer than every room's diagonal is tried as it stands only.
    """
    span = np.ptp(points, axis=0)
    best = float((span - rooms - _ROUNDING).max(1).min())
    if best <= 0 or span.max() > np.linalg.norm(rooms, axis=1).max():
        return best
    hull = _hull(points)
    best = min(best, _upright(hull, rooms))
    if best > 0:
        # Which takes longer.
        for axes in tightened(hull):
            best = min(best, _upright(hull @ axes.T, rooms))
            if best <= 0 or best > _NEARLY:
                break
    return best


def least_width(points: np.ndarray) -> float:
    """Return the middle extent, mm, of a tight box around points (n, 3): how wide a curved strip is."""
    hull = _hull(points)
    return float(np.sort(np.ptp(hull @ tight_axes(hull).T, axis=0))[1])


def _upright(local: np.ndarray, rooms: np.ndarray) -> float:
    """Return the least excess of points (n, 3) set on each side of their box and turned about the vertical."""
    height = local.max(0) - local.min(0)
    turned = _TURNS.extents(local)
    along, across = turned[..., 0], turned[..., 1]
    best = np.inf
    for wide, deep, high in rooms:
        either = np.minimum(np.maximum(along - wide, across - deep), np.maximum(along - deep, across - wide))
        best = min(best, float(np.maximum(either.min(1), height - high).min()))
    return best - _ROUNDING


def _hull(points: np.ndarray) -> np.ndarray:
    if len(points) <= _FEW:
        return points
    try:
        return points[ConvexHull(points).vertices]
    except QhullError:
        # All in one plane.
        return points
