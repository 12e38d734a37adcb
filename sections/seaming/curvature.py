"""How tightly the skin bends, and how much of a seam runs where it does."""

from __future__ import annotations

import numpy as np
from scipy.spatial import cKDTree

from sections.numbers.mesh import Mesh
from sections.numbers.sampling import sample_barycentric

# mm; skin of this radius, or less, counts whole, of twice the radius half.
TIGHT = 50.0
# mm between the places looked at; the most there are; how many of its neighbours each is held against.
_SPACING, _MOST, _NEIGHBOURS, _SEED = 8.0, 150_000, 9, 23
# Neighbours that look elsewhere by more, as a cosine, lie beyond an edge or a thin wall. mm; nearer ones tell nothing.
_OTHER_SIDE, _TOO_NEAR = 0.5, 1.5


class Curvatures:
    """Places on a skin, each with how tightly it bends: 1 for a radius of TIGHT or less, falling to 0 for flat."""

    def __init__(self, places: np.ndarray, shares: np.ndarray):
        self._tree, self._shares = cKDTree(places), shares

    @staticmethod
    def of(mesh: Mesh, normals: np.ndarray) -> Curvatures:
        """Return the bends of a skin with outward normals, (n, 3), at its corners."""
        count = int(min(_MOST, max(1000, mesh.areas_mm2.sum() / _SPACING**2)))
        faces, weights = sample_barycentric(mesh, count, _SEED)
        places = np.einsum("nk,nkj->nj", weights, mesh.triangles[faces])
        ways = np.einsum("nk,nkj->nj", weights, normals[mesh.faces[faces]])
        ways /= np.maximum(np.linalg.norm(ways, axis=1, keepdims=True), 1e-12)
        away, near = cKDTree(places).query(places, _NEIGHBOURS, workers=-1)
        alike = np.einsum("nj,nkj->nk", ways, ways[near])
        # Between the tips of two unit vectors.
        turns = np.sqrt(np.maximum(0.0, 2 - 2 * alike)) / np.maximum(away, _TOO_NEAR)
        beside = (alike > _OTHER_SIDE) & (away > _TOO_NEAR)
        return Curvatures(places, np.minimum(1.0, TIGHT * np.where(beside, turns, 0.0).max(1)))

    def along(self, middles: np.ndarray, lengths: np.ndarray) -> float:
        """Return the length, mm, of a line's pieces, (k, 3) and (k,) mm, each by how tightly the skin bends there."""
        return float(lengths @ self._shares[self._tree.query(middles)[1]])
