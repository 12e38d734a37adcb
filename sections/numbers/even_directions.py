"""Directions spread evenly over the ball."""

from __future__ import annotations

import numpy as np


def even_directions(count: int, *, half: bool = False) -> np.ndarray:
    """Return unit vectors, (count, 3), along a spiral over the ball; half : over its upper half alone."""
    turn = np.arange(count) + 0.5
    height = 1 - (1 if half else 2) * turn / count
    around, wide = np.pi * (1 + 5**0.5) * turn, np.sqrt(1 - height**2)
    return np.column_stack([wide * np.cos(around), wide * np.sin(around), height])
