"""Noise smoothed off a mesh, its creases and rims kept."""

from __future__ import annotations

import numpy as np
from scipy.sparse import coo_matrix, csr_matrix, diags, identity
from scipy.sparse.linalg import cg

from sections.errors import BuildFailed
from sections.numbers.halve import EdgeNumbers, number_edges
from sections.numbers.mesh import Mesh
from sections.solids.crossing import crossing_faces
from sections.solids.distance import corner_normals

# Waves of so many edges' length come out at half their height; longer ones less and less changed.
_WAVE = 8.0
_TOLERANCE, _ROUNDS = 1e-4, 500
# Rounds in which corners of folded faces are put back.
_UNFOLDED = 12


def smoothed(mesh: Mesh, most: float, crease: float, fold: float) -> Mesh:
    """Return a welded mesh with its corners moved along the skin's normal so that the skin bends least.

    most : mm, no corner is moved farther. crease : deg; corners on edges sharper than this, on a rim, or on an edge
    of more than two faces stay where they are, and so do those that would fold the skin through itself by `fold` mm or
    more. Minimises |d|^2 + w |L (x + d)|^2, L the mean of a corner's
    neighbours less itself: a flat or evenly bent skin is left as it is. Raises BuildFailed when it does not settle.
    """
    count = len(mesh.vertices)
    edges = number_edges(mesh.faces, count)
    free = ~_held(mesh, edges, crease)
    bend = diags(free.astype(float)) @ _bend(edges.ends, count)
    weight = (4 / (2 * np.pi / _WAVE) ** 2) ** 2
    stiff = weight * (bend.T @ bend)
    system = identity(count) + stiff
    moved = np.empty_like(mesh.vertices)
    for axis in range(3):
        moved[:, axis], failed = cg(system, -(stiff @ mesh.vertices[:, axis]), rtol=_TOLERANCE, maxiter=_ROUNDS)
        if failed:
            raise BuildFailed(f"smoothing did not settle in {_ROUNDS} rounds")
    normal = corner_normals(Mesh(mesh.vertices + moved, mesh.faces))
    along = np.einsum("ij,ij->i", moved, normal).clip(-most, most)
    return _unfolded(mesh, np.where(free[:, None], along[:, None] * normal, 0.0), fold)


def _unfolded(mesh: Mesh, moves: np.ndarray, fold: float) -> Mesh:
    """Return the mesh with its corners moved, but those of faces that come to pass through others."""
    own = set(crossing_faces(mesh, fold).tolist())
    for _ in range(_UNFOLDED):
        made = Mesh(mesh.vertices + moves, mesh.faces)
        folded = [face for face in crossing_faces(made, fold).tolist() if face not in own]
        if not folded:
            break
        moves = moves.copy()
        moves[mesh.faces[folded]] = 0.0
    return made


def _held(mesh: Mesh, edges: EdgeNumbers, crease: float) -> np.ndarray:
    """Return which corners, (n,), lie on a crease, a rim, or where more than two faces meet."""
    twice, one, two = edges.between()
    normals = mesh.normals
    sharp = np.ones(len(edges.ends), bool)
    sharp[twice] = np.einsum("ij,ij->i", normals[one], normals[two]) < np.cos(np.radians(crease))
    held = np.zeros(len(mesh.vertices), bool)
    held[edges.ends[sharp]] = True
    return held


def _bend(ends: np.ndarray, count: int) -> csr_matrix:
    """Return the matrix (count, count) that gives the mean of each corner's neighbours less the corner itself."""
    one, two = ends.T
    links = coo_matrix((np.ones(2 * len(one)), (np.r_[one, two], np.r_[two, one])), shape=(count, count)).tocsr()
    neighbours = np.bincount(ends.reshape(-1), minlength=count)
    return diags(1 / np.maximum(neighbours, 1)) @ links - identity(count)
