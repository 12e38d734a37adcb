"""How far apart the farthest of some points are."""

from __future__ import annotations

import numpy as np
from scipy.spatial.distance import pdist

from sections.numbers.even_directions import even_directions

_DIRECTIONS = 200


def span(points: np.ndarray) -> float:
    """Return the largest distance between any two of (n, 3) points, mm; of very many, to within a part in a thousand.

    Only points that lie farthest in one of some directions, evenly spread, are compared.
    """
    if len(points) < 2:
        return 0.0
    if len(points) > 2 * _DIRECTIONS:
        along = points @ even_directions(_DIRECTIONS, half=True).T
        points = points[np.unique(np.concatenate([along.argmin(0), along.argmax(0)]))]
    return float(pdist(points).max())
