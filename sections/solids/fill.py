"""Flat outlines filled with triangles."""

from __future__ import annotations

import manifold3d
import numpy as np


def fill(rings: list[np.ndarray]) -> np.ndarray:
    """Return triangles (k, 3) that fill closed rings of corners (n, 2), by place in all rings one after another.

    Outlines run anticlockwise, holes clockwise. Every corner is used and none is added.
    """
    return np.asarray(manifold3d.triangulate(rings), np.int64)
