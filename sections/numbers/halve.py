"""Halving edges of a triangle mesh so that neighbours stay joined."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

# Corner k of a triangle lies opposite edge k: edge 0 runs from corner 1 to corner 2.
EDGE_ENDS = np.array([[1, 2], [2, 0], [0, 1]])

# For each set of halved edges (bit k = edge k), the children by corner: 0, 1, 2 are the triangle's own corners,
# 3, 4, 5 the middles of edges 0, 1, 2.
_CHILDREN = {
    0: ([0, 1, 2],),
    1: ([0, 1, 3], [0, 3, 2]),
    2: ([1, 2, 4], [1, 4, 0]),
    4: ([2, 0, 5], [2, 5, 1]),
    3: ([2, 4, 3], [0, 1, 3], [0, 3, 4]),
    6: ([0, 5, 4], [1, 2, 4], [1, 4, 5]),
    5: ([1, 3, 5], [2, 0, 5], [2, 5, 3]),
    7: ([0, 5, 4], [5, 1, 3], [4, 3, 2], [3, 4, 5]),
}


@dataclass(frozen=True)
class EdgeNumbers:
    """The edges of a mesh. number : (m, 3) of each triangle's edges. ends : (count, 2) corners. first : (count,)
    place of each edge's first use in number.reshape(-1)."""

    number: np.ndarray
    ends: np.ndarray
    first: np.ndarray

    @property
    def uses(self) -> np.ndarray:
        """How many triangles use each edge, (count,): one at a rim, two inside."""
        return np.bincount(self.number.reshape(-1), minlength=len(self.ends))

    def between(self) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
        """Return (the edges of two triangles, (k,); the one triangle, (k,), and the other, (k,), of each)."""
        uses = self.number.reshape(-1)
        order, twice = np.argsort(uses, kind="stable"), np.flatnonzero(self.uses == 2)
        starts = np.searchsorted(uses[order], twice)
        return twice, order[starts] // 3, order[starts + 1] // 3


@dataclass(frozen=True)
class Halved:
    """Triangles after halving. faces : (k, 3). parent : (k,) triangle each comes from. corners : (k, 3) which of
    the parent's three corners (0, 1, 2) and three edge middles (3, 4, 5) each corner is."""

    faces: np.ndarray
    parent: np.ndarray
    corners: np.ndarray


def number_edges(faces: np.ndarray, vertices: int) -> EdgeNumbers:
    """Return the edges of triangles (m, 3) over so many vertices."""
    ends = faces[:, EDGE_ENDS].reshape(-1, 2)
    low, high = np.minimum(*ends.T), np.maximum(*ends.T)
    # One number for a pair of ends, sorted once: np.unique over those takes twice as long, over rows ten times.
    key = low * vertices + high
    order = np.argsort(key)
    starts = np.flatnonzero(np.diff(key[order], prepend=-1))
    first = np.minimum.reduceat(order, starts) if len(order) else order
    number = np.empty(len(key), np.int64)
    number[order] = np.repeat(np.arange(len(starts)), np.diff(starts, append=len(key)))
    return EdgeNumbers(number.reshape(-1, 3), np.column_stack([low[first], high[first]]), first)


def halve(faces: np.ndarray, edges: EdgeNumbers, wanted: np.ndarray, vertices: int) -> Halved:
    """Return the triangles with the wanted edges, (count,) bool, halved.

    The middle of the i-th wanted edge is vertex number `vertices` + i.
    """
    node = np.full(len(wanted), -1)
    node[wanted] = vertices + np.arange(int(wanted.sum()))
    middle = node[edges.number]
    nodes = np.concatenate([faces, middle], axis=1)
    pattern = (middle >= 0) @ np.array([1, 2, 4])
    made, parent, corners = [], [], []
    for code, children in _CHILDREN.items():
        rows = np.flatnonzero(pattern == code)
        for child in children:
            made.append(nodes[rows][:, child])
            parent.append(rows)
            corners.append(np.tile(child, (len(rows), 1)))
    return Halved(np.vstack(made), np.concatenate(parent), np.vstack(corners))
