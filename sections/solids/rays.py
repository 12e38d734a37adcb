"""Rays cast at a mesh, by Embree: which face one meets in single precision, where on it in double.

libigl took 4 to 10 times as long, and a ray right along an edge could miss both its faces, so that each was cast
thrice, a hair apart. Embree's robust traversal lets none through an edge.
"""

from __future__ import annotations

import numpy as np
from embreex.mesh_construction import TriangleMesh
from embreex.rtcore_scene import EmbreeScene

from sections.numbers.mesh import Mesh

# What rounding to single precision moves a place by, as a part of the mesh's size; a hit this near to a ray's start may
# be behind it.
_ROUNDING = 4e-7
# By the cosine: a face that a ray meets flatter than this does not tell where better than single precision does.
_FLAT = 1e-3
# And one it meets flatter than this it runs within, to rounding: at the edge of a wall a ray down the wall's own side
# met that side, and a wall of 4 mm was measured as 1.
_GRAZES = 1e-5


class MeshRays:
    """Rays against one mesh. The tree is built once, with the object."""

    def __init__(self, mesh: Mesh):
        """Build the tree, about the mesh's middle, where single precision is finest."""
        self._normals, self._corners = mesh.normals, mesh.triangles[:, 0]
        self._middle = mesh.bounds.mean(0)
        self._near = _ROUNDING * float(np.linalg.norm(mesh.size))
        self._scene = EmbreeScene(robust=True)
        TriangleMesh(self._scene, (mesh.vertices - self._middle).astype(np.float32), mesh.faces.astype(np.int32))

    def first_hit(
        self, origins: np.ndarray, directions: np.ndarray, most: np.ndarray | float = np.inf
    ) -> tuple[np.ndarray, np.ndarray]:
        """Return (face index (n,), -1 for none; distance (n,) mm, inf for none) along rays of unit direction.

        origins, directions : (n, 3), n not 0. most : mm; what is further off need not be found.
        """
        ends = np.broadcast_to(np.minimum(most, 1e30), len(origins))
        face, along, grazes = self._cast(origins, directions, ends)
        # What rounding put in front of a start is passed by.
        behind, step = np.flatnonzero((face >= 0) & (along <= 0) & ~grazes), 2 * self._near
        if len(behind):
            ways = directions[behind]
            face[behind], further, grazes[behind] = self._cast(origins[behind] + step * ways, ways, ends[behind])
            along[behind] = further + step
        rows = np.flatnonzero(grazes)
        if len(rows):
            face[rows], along[rows] = self._beside(origins[rows], directions[rows], ends[rows], face[rows])
        return face, along

    def _beside(
        self, origins: np.ndarray, directions: np.ndarray, ends: np.ndarray, grazed: np.ndarray
    ) -> tuple[np.ndarray, np.ndarray]:
        """Return (face, distance) along rays that run within a face, (n,): the nearer of what is met on its two sides.
        Such a face is met nowhere, and everywhere."""
        found = np.full(len(origins), -1), np.full(len(origins), np.inf)
        for side in (1.0, -1.0):
            aside = origins + side * 2 * self._near * self._normals[grazed]
            face, along, grazes = self._cast(aside, directions, ends)
            nearer = (face >= 0) & ~grazes & (along > 0) & (along < found[1])
            found[0][nearer], found[1][nearer] = face[nearer], along[nearer]
        return found

    def _cast(
        self, origins: np.ndarray, directions: np.ndarray, most: np.ndarray
    ) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
        """Return (face, distance, whether the ray runs within that face) along rays, (n,)."""
        starts = (origins - self._middle).astype(np.float32)
        ways, ends = directions.astype(np.float32), most.astype(np.float32)
        met = self._scene.run(starts, ways, dists=ends, query="INTERSECT", output=True)
        face = met["primID"].astype(np.int64)
        along = np.where(face >= 0, met["tfar"].astype(np.float64), np.inf)
        hit = np.flatnonzero(face >= 0)
        normal = self._normals[face[hit]]
        toward = np.einsum("ij,ij->i", normal, directions[hit])
        off = np.einsum("ij,ij->i", normal, self._corners[face[hit]] - origins[hit])
        plain = np.abs(toward) > _FLAT
        along[hit[plain]] = off[plain] / toward[plain]
        grazes = np.zeros(len(face), bool)
        grazes[hit] = np.abs(toward) < _GRAZES
        return face, along, grazes
