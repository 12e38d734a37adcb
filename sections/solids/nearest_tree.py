"""The search tree of a mesh for nearest points, by libigl.

A long, narrow face has a large box: the boxes of many such, as flat faces with round corners are made of, lie over one
another, and each place looks into all of them (4 us for 2, measured on a crate with a pane). The tree holds them in
pieces.
"""

from __future__ import annotations

import igl
import numpy as np

from sections.numbers.mesh import Mesh
from sections.numbers.space_order import space_order

# Edges longer than this part of the mesh's diagonal are halved: at a tenth the pieces cost more than they save.
_PIECE = 0.2
# A mesh of fewer faces answers as soon without.
_FEW = 500


class NearestTree:
    """A tree of a mesh's faces. It holds nothing else of the mesh."""

    def __init__(self, mesh: Mesh):
        self._corners, self._faces, self._whole = _in_pieces(mesh)
        self._tree = igl.AABB()
        self._tree.init(self._corners, self._faces)

    def nearest(self, points: np.ndarray) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
        """Return (distance (n,) mm, index of the mesh's face (n,), nearest point (n, 3) mm) for (n, 3) points."""
        order = space_order(points)
        if order is None:
            return self._asked(points)
        found = self._asked(points[order])
        distance, face, nearest = (np.empty_like(of_ordered) for of_ordered in found)
        distance[order], face[order], nearest[order] = found
        return distance, face, nearest

    def _asked(self, points: np.ndarray) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
        squared, piece, nearest = self._tree.squared_distance(self._corners, self._faces, points)
        return np.sqrt(squared).reshape(-1), self._whole[piece.reshape(-1)], nearest.reshape(-1, 3)


def _in_pieces(mesh: Mesh) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Return (corners (k, 3) mm, triangles (m, 3), the face each is of (m,)) of a mesh, long faces in pieces."""
    corners, faces, whole = mesh.vertices, mesh.faces, np.arange(len(mesh))
    longest = _PIECE * np.linalg.norm(np.ptp(corners, axis=0))
    # Looked at in each round: all, then the pieces of the round before.
    open_ = whole if len(mesh) >= _FEW else whole[:0]
    while len(open_):
        triangles = corners[faces[open_]]
        along = np.roll(triangles, -1, axis=1) - triangles
        lengths = np.sqrt(np.einsum("ijk,ijk->ij", along, along))
        edge = lengths.argmax(1)
        chosen = lengths[np.arange(len(open_)), edge] > longest
        long, edge = open_[chosen], edge[chosen]
        start, stop, third = (faces[long, (edge + step) % 3] for step in range(3))
        middle = len(corners) + np.arange(len(long))
        open_ = np.concatenate([long, len(faces) + np.arange(len(long))])
        corners = np.vstack([corners, (corners[start] + corners[stop]) / 2])
        faces = np.vstack([faces, np.column_stack([middle, stop, third])])
        faces[long] = np.column_stack([start, middle, third])
        whole = np.concatenate([whole, whole[long]])
    return corners, faces, whole
