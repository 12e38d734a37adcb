"""Turns to try when something must fit a box, by libigl."""

from __future__ import annotations

import igl
import numpy as np


def tight_box(points: np.ndarray, tried: int = 2000) -> np.ndarray:
    """Return the (3, 3) rotation that brings points (n, 3) into the tightest box of as many tried."""
    return igl.oriented_bounding_box(points, tried)


def even_turns(count: int) -> np.ndarray:
    """Return `count` rotations, quaternions (count, 4), spread evenly over all there are."""
    return igl.super_fibonacci(count)
