"""Faces that lie on one another."""

from __future__ import annotations

import numpy as np

from sections.numbers.halve import number_edges
from sections.numbers.mesh import Mesh
from sections.numbers.rows import unique_rows


def without_doubles(mesh: Mesh) -> np.ndarray:
    """Return which faces, (m,), of a welded mesh stay when of faces over the same three corners one is kept.

    Two that look opposite ways, with other faces on both sides of each of their edges, are a membrane between two
    bodies: neither is kept.
    """
    first, group = unique_rows(np.sort(mesh.faces, axis=1))
    copies = np.bincount(group)
    stays = np.zeros(len(mesh), bool)
    stays[first] = True
    even = _even(mesh)
    balance = np.bincount(group, np.where(even, 1, -1), minlength=len(copies))
    edges = number_edges(mesh.faces[first], len(mesh.vertices))
    others = (edges.uses[edges.number] - 1)[group]
    membrane = (copies[group] > 1) & (balance[group] == 0) & (others >= 2).all(1)
    return stays & ~membrane


def _even(mesh: Mesh) -> np.ndarray:
    """Return which faces run round their corners as the sorted corners do."""
    a, b, c = mesh.faces.T
    return ((a < b) & (b < c)) | ((b < c) & (c < a)) | ((c < a) & (a < b))
