"""Where seams end on seams: two that end on one from either side should meet, or stay well apart.

Ends that meet must lie on one plane: planes that differ by degrees and meet on the skin part again within the flange,
and pairs that share a few centimetres were nearly all of 137 findings on one plan.
"""

from __future__ import annotations

import numpy as np
from scipy.spatial import cKDTree

from sections.seaming.shell import Split

# mm; ends nearer than this to one another are one; decimals by which corners of a line are distinguished.
_ONE, _DECIMALS = 0.3, 4


class Junctions:
    """The ends of the cuts made so far. run : mm, the shortest piece of seam two sections can share and be joined."""

    def __init__(self, run: float):
        self.run = run
        self._ends: list[np.ndarray] = []
        self._tree: cKDTree | None = None

    def add(self, split: Split) -> None:
        """Take in the ends of a cut."""
        self._ends.append(line_ends(split))
        ends = np.vstack(self._ends)
        self._tree = cKDTree(ends) if len(ends) else None

    def clashes(self, split: Split) -> int:
        """Return how many of a cut's ends lie nearer than a run to the end of another, and not on it."""
        ends = line_ends(split)
        if self._tree is None or not len(ends):
            return 0
        return sum(self._clash(end) for end in ends)

    def _clash(self, end: np.ndarray) -> bool:
        away = np.linalg.norm(self._tree.data[self._tree.query_ball_point(end, self.run)] - end, axis=1)
        return bool(len(away)) and bool(away.min() > _ONE)

    def within(self, bounds: np.ndarray) -> np.ndarray:
        """Return the ends, (k, 3) mm, within (2, 3) bounds or a little off them."""
        if self._tree is None:
            return np.empty((0, 3))
        ends = self._tree.data
        return ends[((ends >= bounds[0] - _ONE) & (ends <= bounds[1] + _ONE)).all(1)]


def line_ends(split: Split) -> np.ndarray:
    """Return where the line of a cut ends, (k, 3) mm: on seams and rims."""
    places = split.line.reshape(-1, 3)
    _, first, count = np.unique(np.round(places, _DECIMALS), axis=0, return_index=True, return_counts=True)
    return places[first[count == 1]]
