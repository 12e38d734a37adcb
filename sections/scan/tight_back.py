"""The back of a block drawn tight where it crosses itself.

Where paths meet below edges that point outward, the back is drawn tight like a net about the place: within a quarter
of the depth first, then farther. Laid shallower there instead it crossed for longer, and was left 1 mm deep; on a
whole car's skin the net left 25 mm of 47. What crosses even so, at a ragged rim, the winding number sorts out.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.sparse import csr_matrix, diags, identity
from scipy.sparse.csgraph import dijkstra
from scipy.sparse.linalg import splu

from sections.numbers.closed_by_back import backed
from sections.numbers.halve import number_edges
from sections.numbers.mesh import Mesh, weld_exact
from sections.scan.surfaces import Rims
from sections.solids.crossing import crossing_faces

# How far about a crossing the back is drawn tight, as a part of the block's depth, and how much farther each round; the
# rounds in which no fewer faces cross before it is given up.
_ABOUT, _FARTHER, _PATIENCE = 0.25, 1.1, 5


@dataclass(frozen=True)
class Tight:
    """A skin with a back. mesh : closed, mm. border : its strip at the rim. crossing : faces, (k,), that still cross
    others."""

    mesh: Mesh
    border: Mesh
    crossing: np.ndarray


def drawn_tight(skin: Mesh, back: np.ndarray, depth: float, fold: float) -> Tight:
    """Return an open skin closed by its back, (n, 3) mm, drawn tight where faces pass through others by over `fold` mm.

    Corners near a crossing, along the skin, come to lie each at the mean of its neighbours, as in a net hung from the
    back around it; where that crosses too, from farther away. Corners at the rim stay.
    """
    net = _Net(skin)
    drawn, about = np.zeros(len(back), bool), _ABOUT * depth
    best = _closed(skin, back, fold)
    now, waited = best, 0
    while len(now.crossing) and waited < _PATIENCE:
        drawn |= net.near(now.mesh.faces[now.crossing] % len(back), about)
        now = _closed(skin, net.hung(back, drawn), fold)
        waited = 0 if len(now.crossing) < len(best.crossing) else waited + 1
        best = best if waited else now
        about *= _FARTHER
    return best


def _closed(skin: Mesh, back: np.ndarray, fold: float) -> Tight:
    mesh, border = backed(skin, back)
    # Parts of a skin may meet in a corner, of which each has its own.
    return Tight(mesh, border, crossing_faces(weld_exact(mesh), fold))


class _Net:
    """The edges of a skin."""

    def __init__(self, skin: Mesh) -> None:
        count = len(skin.vertices)
        ends = number_edges(skin.faces, count).ends
        ends = np.vstack([ends, ends[:, ::-1]])
        lengths = np.linalg.norm(skin.vertices[ends[:, 0]] - skin.vertices[ends[:, 1]], axis=1)
        self._lengths = csr_matrix((lengths, ends.T), (count, count))
        links = csr_matrix((np.ones(len(ends)), ends.T), (count, count))
        self._bend = (identity(count) - diags(1 / np.maximum(links.sum(1).A1, 1)) @ links).tocsr()
        self._free = np.ones(count, bool)
        self._free[Rims.of(skin).ends] = False

    def near(self, corners: np.ndarray, about: float) -> np.ndarray:
        """Return which corners, (n,) of bool, are within `about` mm of some, along edges, and not at the rim."""
        return self._free & np.isfinite(dijkstra(self._lengths, indices=np.unique(corners), min_only=True, limit=about))

    def hung(self, places: np.ndarray, drawn: np.ndarray) -> np.ndarray:
        """Return the places, (n, 3), with each of the `drawn` ones at the mean of its neighbours."""
        rows = self._bend[drawn]
        hung = places.copy()
        hung[drawn] = splu(rows[:, drawn].tocsc()).solve(-(rows[:, ~drawn] @ places[~drawn]))
        return hung
