"""Where balls can be brought from outside: free space on a lattice, around what is in the way."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from scipy import ndimage

from sections.numbers.mesh import Mesh
from sections.numbers.rows import unique_rows

# Neighbours of a node, by faces and by faces and edges: in turn they grow what is nearly a ball.
_ROUNDS = (ndimage.generate_binary_structure(3, 1), ndimage.generate_binary_structure(3, 2))
# Times its height, or half a step, that a triangle may be long.
_LONG = 4.0
# How far, in steps, two such rounds reach on average.
_TWO_ROUNDS = 2.2


@dataclass(frozen=True)
class Reached:
    """Places the middle of a ball can be brought to.

    low : (3,) mm, the first node. step : mm. free : (nx, ny, nz) bool.
    """

    low: np.ndarray
    step: float
    free: np.ndarray

    def places(self, bounds: np.ndarray) -> np.ndarray:
        """Return the places within (2, 3) bounds, (n, 3) mm; beyond the lattice all is free and none is returned."""
        first = np.maximum(np.floor((bounds[0] - self.low) / self.step).astype(int), 0)
        last = np.maximum(np.ceil((bounds[1] - self.low) / self.step).astype(int) + 1, 0)
        part = self.free[first[0] : last[0], first[1] : last[1], first[2] : last[2]]
        return self.low + (np.argwhere(part) + first) * self.step


def nodes_on(mesh: Mesh, step: float) -> np.ndarray:
    """Return the nodes of the lattice of whole multiples of `step`, (n, 3) int, that a surface passes near: by places
    on it no further apart than half a step."""
    found = [np.empty((0, 3), np.int64)]
    for corners in _compact(mesh.triangles, step):
        longest = np.linalg.norm(np.roll(corners, -1, axis=1) - corners, axis=2).max(1, initial=0.0)
        count = np.ceil(2 * longest / step).astype(int).clip(1, None)
        for parts in np.unique(count):
            rows = np.arange(parts + 1)
            one, two = (side.reshape(-1) for side in np.meshgrid(rows, rows, indexing="ij"))
            inside = one + two <= parts
            weights = np.column_stack([one, two, parts - one - two])[inside] / parts
            places = np.einsum("kc,ncj->nkj", weights, corners[count == parts]).reshape(-1, 3)
            nodes = np.rint(places / step).astype(np.int64)
            found.append(nodes[unique_rows(nodes)[0]])
    nodes = np.vstack(found)
    return nodes[unique_rows(nodes)[0]] if len(nodes) else nodes


def _compact(corners: np.ndarray, step: float) -> Iterator[np.ndarray]:
    """Yield triangles, (n, 3, 3), that make up those given: each no longer than some times its height, or than half a
    step. On one long and thin, places as far apart along it as across would be many times too many."""
    while len(corners):
        sides = np.roll(corners, -1, axis=1) - corners
        length = np.linalg.norm(sides, axis=2)
        longest = length.max(1)
        height = np.linalg.norm(np.cross(sides[:, 0], sides[:, 1]), axis=1) / np.maximum(longest, 1e-300)
        compact = (longest <= _LONG * np.maximum(height, step / 2)) | (longest <= step / 2)
        yield corners[compact]
        corners = _halved(corners[~compact], length[~compact].argmax(1))


def _halved(corners: np.ndarray, edge: np.ndarray) -> np.ndarray:
    """Return triangles, (2n, 3, 3), of which two make up each given, (n, 3, 3), halved in the middle of an edge, (n,)
    the number of the corner it begins at."""
    rows = np.arange(len(corners))
    start, stop, third = (corners[rows, (edge + turn) % 3] for turn in range(3))
    middle = (start + stop) / 2
    return np.concatenate([np.stack([start, middle, third], axis=1), np.stack([middle, stop, third], axis=1)])


def reached_by(nodes: np.ndarray, step: float, ball: float, body: float, arm: float) -> Reached:
    """Return where a hand gets to around nodes in the way.

    nodes : (n, 3) int, on the lattice of whole multiples of `step` mm. ball : mm, radius of the hand. body : mm, radius
    of the person, who comes in from outside as far as there is room. arm : mm, how far the hand reaches past that.
    """
    low, high = nodes.min(0) - 2, nodes.max(0) + 2
    solid = np.zeros(high - low + 1, bool)
    solid[tuple((nodes - low).T)] = True
    off = ndimage.distance_transform_edt(~solid) * step
    hand = off >= ball
    outside = np.ones(solid.shape, bool)
    outside[1:-1, 1:-1, 1:-1] = False
    person = _joined((off >= body) | outside, outside)
    free = _grown(person, hand | person, arm + body, step)
    return Reached(low * float(step), step, free & hand)


def _joined(open_: np.ndarray, seed: np.ndarray) -> np.ndarray:
    """Return the parts of `open_` that hold some of `seed`."""
    labels, _ = ndimage.label(open_)
    wanted = np.unique(labels[seed & open_])
    return np.isin(labels, wanted[wanted > 0])


def _grown(seed: np.ndarray, open_: np.ndarray, reach: float, step: float) -> np.ndarray:
    """Return what lies within `reach` mm of `seed`, going through `open_` alone."""
    grown = seed
    for number in range(int(np.ceil(2 * reach / step / _TWO_ROUNDS))):
        wider = ndimage.binary_dilation(grown, _ROUNDS[number % 2], mask=open_)
        if (wider == grown).all():
            break
        grown = wider
    return grown
