"""The place on a surface where something is least, not where a sample happened to fall."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from sections.solids.distance import MeshDistance

# How many of the least samples are followed, places tried about each a round, and rounds; mm, how far about at first,
# and by which part less each round.
_FOLLOWED, _TRIED, _ROUNDS, _REACH, _CLOSER = 8, 12, 6, 6.0, 0.5


def follow_least(
    surface: MeshDistance, points: np.ndarray, values: np.ndarray, value: Callable[[np.ndarray], np.ndarray], seed: int
) -> tuple[np.ndarray, float]:
    """Return (the place, (3,) mm, on a surface where a value is least near the least samples; the value there).

    points, values : (n, 3) mm and (n,), samples on the surface, not all infinite. value : of (n, 3) places on the
    surface, infinite where there is none. Each of the least samples is followed by random steps that get shorter.
    """
    rng = np.random.default_rng(seed)
    chosen = np.argsort(values, kind="stable")[:_FOLLOWED]
    chosen = chosen[np.isfinite(values[chosen])]
    best, least, reach = points[chosen], values[chosen], _REACH
    for _ in range(_ROUNDS):
        step = rng.normal(size=(len(best), _TRIED, 3))
        step *= reach * rng.random((len(best), _TRIED, 1)) / np.linalg.norm(step, axis=2, keepdims=True)
        tried = surface.nearest((best[:, None] + step).reshape(-1, 3))[2]
        found = value(tried).reshape(len(best), _TRIED)
        at = found.argmin(1)
        rows = np.arange(len(best))
        better = found[rows, at] < least
        best = np.where(better[:, None], tried.reshape(len(best), _TRIED, 3)[rows, at], best)
        least = np.where(better, found[rows, at], least)
        reach *= _CLOSER
    place = int(least.argmin())
    return best[place], float(least[place])
