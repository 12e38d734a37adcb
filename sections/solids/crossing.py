"""Faces of one mesh that pass through one another."""

from __future__ import annotations

import igl.predicates
import numpy as np

from sections.numbers.mesh import Mesh

# mm; a face narrower than this looks nowhere.
_NO_WIDTH = 1e-6


def crossing_faces(mesh: Mesh, depth: float) -> np.ndarray:
    """Return the indices, sorted, of faces that pass through others by more than `depth` mm, or lie on others.

    The pairs are found with exact predicates, so that no crossing is missed and no shared edge is taken for one.
    How deep a pair crosses: each face has corners on both sides of the other's plane, at least this far off it.
    Faces narrower than `depth` have no plane worth speaking of and do not count.
    """
    found, pairs, coplanar = igl.predicates.find_self_intersections(mesh.vertices, mesh.faces)
    if not found:
        return np.empty(0, np.int64)
    one, two = pairs[:, 0], pairs[:, 1]
    through = np.minimum(_through(mesh, one, two), _through(mesh, two, one))
    through[coplanar.reshape(-1) != 0] = np.inf
    wide = mesh.widths[pairs].min(1) > depth
    return np.unique(pairs[(through > depth) & wide])


def doubtful_faces(mesh: Mesh) -> np.ndarray:
    """Return which faces, (m,), do not tell inside from outside: those without width, those that pass through others
    however little, and those about them."""
    bad = mesh.widths < _NO_WIDTH
    bad[crossing_faces(mesh, 0.0)] = True
    corners = np.zeros(len(mesh.vertices), bool)
    corners[mesh.faces[bad]] = True
    return corners[mesh.faces].any(1)


def _through(mesh: Mesh, faces: np.ndarray, others: np.ndarray) -> np.ndarray:
    """Return how far, (n,) mm, each face reaches to both sides of the plane of the other."""
    normal, corner = mesh.normals[others], mesh.vertices[mesh.faces[others, 0]]
    off = np.einsum("nkj,nj->nk", mesh.vertices[mesh.faces[faces]] - corner[:, None], normal)
    return np.minimum(off.max(1), -off.min(1)).clip(0)
