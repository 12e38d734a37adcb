"""Corners where parts of a mesh meet in that corner alone."""

from __future__ import annotations

import numpy as np

from sections.numbers.halve import EDGE_ENDS, EdgeNumbers, number_edges
from sections.numbers.mesh import Mesh, connected


def fans_apart(mesh: Mesh) -> tuple[Mesh, np.ndarray]:
    """Return (the mesh with a corner of its own, at the same place, for each fan of faces about a corner that rims
    meet in; the corners, (k,), that share their place with another).

    A fan is faces that hang together by edges. Faces keep their order, corners theirs; new ones are put last.
    """
    count = len(mesh.vertices)
    edges = number_edges(mesh.faces, count)
    # A fan that is not all the way round its corner ends in two open edges.
    open_ends = np.bincount(edges.ends[edges.uses == 1].reshape(-1), minlength=count)
    fans = fan_numbers(mesh.faces, edges).reshape(-1)
    _, first, fan = np.unique(fans, return_index=True, return_inverse=True)
    corner = mesh.faces.reshape(-1)[first]
    order = np.lexsort((first, corner))
    again = np.flatnonzero(np.diff(corner[order]) == 0) + 1
    apart = order[again[open_ends[corner[order[again]]] > 2]]
    place, sources = corner.copy(), corner[apart]
    place[apart] = count + np.arange(len(apart))
    shared = np.concatenate([place[apart], np.unique(sources)])
    return Mesh(np.vstack([mesh.vertices, mesh.vertices[sources]]), place[fan].reshape(-1, 3)), shared


def fan_numbers(faces: np.ndarray, edges: EdgeNumbers) -> np.ndarray:
    """Return the number, (m, 3) from 0, of the fan that each face belongs to at each of its corners: faces that hang
    together there by edges of two faces."""
    return connected(fan_links(faces, edges), 3 * len(faces)).reshape(-1, 3)


def fan_links(faces: np.ndarray, edges: EdgeNumbers) -> np.ndarray:
    """Return which corners, as places in faces.reshape(-1), (k, 2), belong together by edges of two faces."""
    uses = edges.number.reshape(-1)
    order = np.argsort(uses, kind="stable")
    starts = np.flatnonzero(np.diff(uses[order], prepend=-1))
    twice = starts[edges.uses[uses[order[starts]]] == 2]
    one, two = order[twice], order[twice + 1]
    corners = (3 * (np.arange(len(uses)) // 3)[:, None] + np.array(EDGE_ENDS)[np.arange(len(uses)) % 3]).astype(
        np.int64
    )
    # The two faces run along their edge the same way or against one another.
    same = faces.reshape(-1)[corners[one, 0]] == faces.reshape(-1)[corners[two, 0]]
    first = np.where(same, corners[two, 0], corners[two, 1])
    second = np.where(same, corners[two, 1], corners[two, 0])
    return np.concatenate([np.column_stack([corners[one, 0], first]), np.column_stack([corners[one, 1], second])])
