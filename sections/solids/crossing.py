"""Faces of one mesh that pass through one another."""

from __future__ import annotations

import numpy as np

from sections.numbers.mesh import Mesh
from sections.solids.distance import MeshDistance

# Rays start and stop this part of an edge short of its ends, so that what only touches is not met.
_SHORT = 1e-4
_TIMES = 6


def crossing_faces(mesh: Mesh, depth: float) -> np.ndarray:
    """Return the indices, sorted, of faces that pass through others: the pierced ones and those that pierce.

    Every edge is sent as a ray through the mesh. A face it meets counts when both ends of the edge lie more than
    `depth` mm off the face's plane and the face itself is wider than that, so that folds too shallow to matter
    do not. Coplanar overlap is found as doubled faces or by the winding number, not here.
    """
    ends = np.sort(mesh.faces[:, [[0, 1], [1, 2], [2, 0]]].reshape(-1, 2), axis=1)
    keys, first = np.unique(ends[:, 0] * len(mesh.vertices) + ends[:, 1], return_index=True)
    edges, owner = ends[first], first // 3
    pierced, piercing = _first_pierced(mesh, edges)
    start, end = mesh.vertices[edges[piercing, 0]], mesh.vertices[edges[piercing, 1]]
    corner, normal = mesh.vertices[mesh.faces[pierced, 0]], mesh.normals[pierced]
    off = [np.abs(np.einsum("ij,ij->i", p - corner, normal)) for p in (start, end)]
    longest = np.linalg.norm(np.roll(mesh.triangles[pierced], -1, axis=1) - mesh.triangles[pierced], axis=2).max(1)
    width = 2 * mesh.areas_mm2[pierced] / np.maximum(longest, 1e-300)
    deep = (np.minimum(*off) > depth) & (width > depth)
    return np.unique(np.concatenate([pierced[deep], owner[piercing[deep]]]))


def _first_pierced(mesh: Mesh, edges: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Return (face, edge) index pairs: the first face, not at its own ends, that each edge runs through."""
    tree = MeshDistance(mesh)
    start = mesh.vertices[edges[:, 0]]
    length = np.linalg.norm(mesh.vertices[edges[:, 1]] - start, axis=1)
    direction = (mesh.vertices[edges[:, 1]] - start) / np.maximum(length, 1e-300)[:, None]
    along = _SHORT * length
    open_ = np.flatnonzero(length > 0)
    faces, found = [], []
    for _ in range(_TIMES):
        origin = start[open_] + direction[open_] * along[open_, None]
        face, distance = tree.first_hit(origin, direction[open_])
        hit = (face >= 0) & (along[open_] + distance < (1 - _SHORT) * length[open_])
        own = (mesh.faces[np.maximum(face, 0)][:, :, None] == edges[open_][:, None, :]).any((1, 2))
        faces.append(face[hit & ~own])
        found.append(open_[hit & ~own])
        along[open_] += np.where(hit & own, distance, 0) + _SHORT * length[open_]
        open_ = open_[hit & own]
        if not len(open_):
            break
    return np.concatenate(faces), np.concatenate(found)
