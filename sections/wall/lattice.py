"""One lattice for the whole body, and the part of it near an iso-surface.

Nodes that fall on flat skin's own offset give faces within rounding of one another: nodes lie off the whole multiples
of the pitch (`_PHASE`). Boxes of finer lattice that touch left films between: they overlap, and are separate solids.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

# Edge of the first blocks, in lattice steps; halved until a block is one node.
_FIRST_BLOCK = 8
_CORNERS = np.stack(np.meshgrid([0, 1], [0, 1], [0, 1], indexing="ij"), -1).reshape(-1, 3)


# In steps; by which the nodes are off the whole multiples of the pitch, so that the planes and edges of a drawn body,
# which lie on round numbers, pass between them.
_PHASE = np.array([0.137, 0.291, 0.423])


@dataclass(frozen=True)
class Lattice:
    """A box of nodes of the lattice whose nodes are the whole multiples of `pitch` in the vehicle frame, shifted alike.

    pitch : mm. start : (3,) int, the first node. shape : (3,) int, nodes along each axis.
    """

    pitch: float
    start: tuple[int, int, int]
    shape: tuple[int, int, int]

    @staticmethod
    def around(bounds: np.ndarray, pitch: float, steps: int) -> Lattice:
        """Return the lattice over (2, 3) bounds, mm, with `steps` nodes to spare on each side."""
        start = np.floor(bounds[0] / pitch - _PHASE).astype(int) - steps
        stop = np.ceil(bounds[1] / pitch - _PHASE).astype(int) + steps
        return Lattice(pitch, tuple(map(int, start)), tuple(int(n) for n in stop - start + 1))

    def points(self, index: np.ndarray) -> np.ndarray:
        """Return the places, (n, 3) mm, of nodes (n, 3) counted from the start; fractions are allowed."""
        return (np.asarray(index) + self.start + _PHASE) * self.pitch

    def places(self, points: np.ndarray) -> np.ndarray:
        """Return points, (n, 3) mm, counted in nodes from the start."""
        return points / self.pitch - _PHASE - self.start

    def over(self, bounds: np.ndarray, steps: int) -> tuple[Lattice, tuple[slice, ...]]:
        """Return (the part of the lattice over (2, 3) bounds, with so many nodes to spare; which nodes those are)."""
        part = Lattice.around(bounds, self.pitch, steps)
        start = np.maximum(part.start, self.start)
        stop = np.minimum(np.add(part.start, part.shape), np.add(self.start, self.shape))
        nodes = tuple(slice(*ends) for ends in np.column_stack([start - self.start, stop - self.start]).tolist())
        return Lattice(self.pitch, tuple(start.tolist()), tuple((stop - start).tolist())), nodes

    @property
    def count(self) -> int:
        """How many nodes it has."""
        return math.prod(self.shape)

    @property
    def box(self) -> np.ndarray:
        """First and last node, (2, 3) mm."""
        return self.points(np.array([[0, 0, 0], np.array(self.shape) - 1]))


# (points (n, 3), radius) -> (n, k): +1 where a field is surely positive within the radius, -1 where surely negative, 0
# where it may change sign.
Verdict = Callable[[np.ndarray, float], np.ndarray]
# points (n, 3) -> (n, k) values of the fields
Values = Callable[[np.ndarray], np.ndarray]


def narrow_bands(lattice: Lattice, verdict: Verdict, values: Values, count: int) -> np.ndarray:
    """Return so many fields on all nodes, (count, nx, ny, nz): true values near the zero of any, +1 or -1 elsewhere.

    Blocks are halved only where the verdict leaves the sign of a field open, so that most nodes are never asked.
    """
    shape = np.array(lattice.shape)
    fields = np.ones((count, *lattice.shape))
    blocks = _blocks(shape, _FIRST_BLOCK)
    size = _FIRST_BLOCK
    while size > 1 and len(blocks):
        centre = blocks + (size - 1) / 2
        radius = np.sqrt(3) / 2 * size * lattice.pitch
        sign = verdict(lattice.points(centre), radius)
        for field, one in zip(fields, sign.T, strict=True):
            for value in (-1.0, 1.0):
                field[_filled(blocks[one == value], size, shape)] = value
        open_ = blocks[(sign == 0).any(1)]
        size //= 2
        blocks = (open_[:, None] + _CORNERS[None] * size).reshape(-1, 3)
        blocks = blocks[(blocks < shape).all(1)]
    if len(blocks):
        fields[:, *blocks.T] = values(lattice.points(blocks)).T
    return fields


def _filled(blocks: np.ndarray, size: int, shape: np.ndarray) -> np.ndarray:
    """Return which nodes, (nx, ny, nz) bool, lie in blocks of so many nodes each way, by their first nodes (k, 3)."""
    coarse = np.zeros(-(-shape // size), bool)
    coarse[tuple((blocks // size).T)] = True
    for axis in range(3):
        coarse = coarse.repeat(size, axis)
    return coarse[tuple(map(slice, shape))]


def _blocks(shape: np.ndarray, size: int) -> np.ndarray:
    steps = [np.arange(0, count, size) for count in shape]
    return np.stack(np.meshgrid(*steps, indexing="ij"), -1).reshape(-1, 3)
