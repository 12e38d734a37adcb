"""Flat ends where the lattice ends, in few triangles.

Marching cubes closes a hollow off beyond the lattice with a triangle pair for every lattice square: nine tenths of
all triangles of a flat cell, only to be cut away.
"""

from __future__ import annotations

import numpy as np

from sections.numbers.halve import EDGE_ENDS, number_edges
from sections.numbers.mesh import Mesh
from sections.solids.fill import fill


def flat_ends(surface: Mesh, box: np.ndarray) -> Mesh:
    """Return a closed surface with what lies beyond a box laid flat, and those flats cut into few triangles.

    surface : by marching cubes, so that a corner beyond the box lies straight out from one of its faces. box : (2, 3)
    mm. A hollow that ends within the box is returned as it is.
    """
    vertices, faces = surface.vertices.copy(), surface.faces
    for axis in range(3):
        for end, sign in enumerate((-1, 1)):
            beyond = sign * (vertices[:, axis] - box[end, axis]) > 0
            vertices[beyond, axis] = box[end, axis] + sign
            faces = _with_few(vertices, faces, beyond[faces].all(1), axis, sign)
    return Mesh(vertices, faces).compact()


def _with_few(vertices: np.ndarray, faces: np.ndarray, cap: np.ndarray, axis: int, sign: int) -> np.ndarray:
    """Return the faces with those of one flat, `cap` (m,) bool, replaced by as few as its outline needs."""
    if not cap.any():
        return faces
    rings = _rings(faces[cap])
    across = [(axis + 1) % 3, (axis + 2) % 3][::sign]
    corners = fill([vertices[ring][:, across] for ring in rings])
    return np.vstack([faces[~cap], np.concatenate(rings)[corners]])


def _rings(faces: np.ndarray) -> list[np.ndarray]:
    """Return the outlines of an oriented patch of triangles as rings of corners, the patch on their left."""
    edges = number_edges(faces, int(faces.max()) + 1)
    rim = (edges.uses == 1)[edges.number]
    following: dict[int, list[int]] = {}
    for start, stop in faces[:, EDGE_ENDS][rim].tolist():
        following.setdefault(start, []).append(stop)
    rings = []
    while following:
        first = at = min(following)
        ring = []
        while True:
            ring.append(at)
            after = following[at]
            onward = after.pop()
            if not after:
                del following[at]
            at = onward
            if at == first:
                break
        rings.append(np.array(ring))
    return rings
