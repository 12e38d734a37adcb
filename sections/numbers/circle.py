"""Circles fitted to points."""

from __future__ import annotations

import numpy as np


def fit_circle(points: np.ndarray) -> tuple[np.ndarray, float]:
    """Return (centre (2,), radius) of the least-squares circle through (n, 2) points, n >= 3.

    The algebraic fit: x2 + y2 = 2 a x + 2 b y + c is linear in a, b, c (Kasa 1976, from memory).
    """
    middle = points.mean(0)
    x, y = (points - middle).T
    solution, *_ = np.linalg.lstsq(np.column_stack([2 * x, 2 * y, np.ones_like(x)]), x * x + y * y, rcond=None)
    a, b, c = solution
    return middle + [a, b], float(np.sqrt(max(c + a * a + b * b, 0.0)))
