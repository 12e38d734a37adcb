"""Faces that lie on one another."""

from __future__ import annotations

import numpy as np

from sections.numbers.halve import number_edges
from sections.numbers.mesh import Mesh, connected
from sections.numbers.rows import unique_rows


def without_duplicates(mesh: Mesh) -> np.ndarray:
    """Return which faces, (m,), of a welded mesh stay when of faces over the same three corners one is kept.

    A patch of pairs that look opposite ways, with two other faces at every edge around it, is a wall between two
    bodies: nothing of it is kept.
    """
    first, group = unique_rows(np.sort(mesh.faces, axis=1))
    balance = np.bincount(group, np.where(_even(mesh), 1, -1))
    opposed = (np.bincount(group) > 1) & (balance == 0)
    stays = np.zeros(len(mesh), bool)
    stays[first[~_walls(mesh.faces[first], opposed, len(mesh.vertices))]] = True
    return stays


def _walls(faces: np.ndarray, opposed: np.ndarray, corners: int) -> np.ndarray:
    """Return which distinct faces, (k,), are walls between bodies. opposed : (k,) those there both ways round."""
    if not opposed.any():
        return opposed
    edges = number_edges(faces, corners)
    count = len(edges.ends)
    own = np.bincount(edges.number[opposed].reshape(-1), minlength=count)
    others = edges.uses - own
    # The patch of each opposed face: faces and the edges two of them share, linked.
    links = np.column_stack([np.repeat(np.flatnonzero(opposed), 3), len(faces) + edges.number[opposed].reshape(-1)])
    links = links[own[links[:, 1] - len(faces)] == 2]
    patch = connected(links, len(faces) + count)[: len(faces)]
    around = own[edges.number] == 1
    bad = opposed & (around & (others[edges.number] < 2)).any(1)
    bounded = opposed & around.any(1)
    return opposed & ~np.isin(patch, patch[bad]) & np.isin(patch, patch[bounded])


def _even(mesh: Mesh) -> np.ndarray:
    """Return which faces run round their corners as the sorted corners do."""
    a, b, c = mesh.faces.T
    return ((a < b) & (b < c)) | ((b < c) & (c < a)) | ((c < a) & (a < b))
