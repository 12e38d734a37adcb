"""The tight box around points."""

from __future__ import annotations

import numpy as np

# A box is tightened by turns about each of its axes: any, then near the best; so often.
_ANY, _NEAR, _ROUNDS = np.radians(np.arange(-45.0, 45.0, 3.0)), np.radians(np.arange(-3.0, 3.05, 0.3)), 3


def tight_axes(points: np.ndarray) -> np.ndarray:
    """Return the axes, rows of a rotation (3, 3), of a box about points (n, 3) that no turn about one of its own axes
    makes smaller, begun from the axes of their spread."""
    axes = np.linalg.eigh(np.cov(points.T))[1].T
    for _ in range(_ROUNDS):
        for axis in range(3):
            for turns in (_ANY, _NEAR):
                axes = _turned(points, axes, axis, turns)
    return axes


def _turned(points: np.ndarray, axes: np.ndarray, axis: int, turns: np.ndarray) -> np.ndarray:
    """Return axes turned about one of them by whichever turn gives the least box."""
    one, other = axes[(axis + 1) % 3], axes[(axis + 2) % 3]
    along, across = extents(points @ one, points @ other, turns)
    best = turns[int((along * across).argmin())]
    made = axes.copy()
    made[(axis + 1) % 3] = np.cos(best) * one + np.sin(best) * other
    made[(axis + 2) % 3] = np.cos(best) * other - np.sin(best) * one
    return made


def extents(x: np.ndarray, y: np.ndarray, turns: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Return the extents, (k,) and (k,) mm, of points x, y (n,) along and across each of (k,) turned directions."""
    cosine, sine = np.cos(turns), np.sin(turns)
    along = np.outer(cosine, x) + np.outer(sine, y)
    across = np.outer(cosine, y) - np.outer(sine, x)
    return along.max(1) - along.min(1), across.max(1) - across.min(1)
