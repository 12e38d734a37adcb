"""Boxes along the axes of the frame: whether two meet, and what lies in one."""

from __future__ import annotations

import numpy as np


def boxes_meet(one: np.ndarray, other: np.ndarray, within: float = 0.0) -> bool:
    """Return whether two boxes, (2, 3) mm, overlap, or come nearer than `within` mm along every axis."""
    return bool((one[0] < other[1] + within).all() and (other[0] < one[1] + within).all())


def in_box(points: np.ndarray, box: np.ndarray, beyond: float = 0.0) -> np.ndarray:
    """Return which of (n, 3) points, (n,) bool, lie in a box, (2, 3) mm, or less than `beyond` mm out of it."""
    return ((points > box[0] - beyond) & (points < box[1] + beyond)).all(1)
