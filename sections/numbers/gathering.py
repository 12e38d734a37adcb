"""Points that lie together."""

from __future__ import annotations

import numpy as np
from scipy.spatial import cKDTree

from sections.numbers.mesh import connected


def gatherings(points: np.ndarray, apart: float) -> list[np.ndarray]:
    """Return which of (n, 3) points belong to each place, by index: nearer to one another than `apart` mm."""
    if not len(points):
        return []
    numbers = connected(cKDTree(points).query_pairs(apart, output_type="ndarray"), len(points))
    return [np.flatnonzero(numbers == number) for number in np.unique(numbers)]
