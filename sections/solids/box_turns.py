"""Turns to try when something must fit a box, by libigl."""

from __future__ import annotations

import igl
import numpy as np


def even_turns(count: int) -> np.ndarray:
    """Return `count` rotations, quaternions (count, 4), spread evenly over all there are."""
    return igl.super_fibonacci(count)
