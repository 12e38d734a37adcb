"""Corners where parts of a mesh meet in that corner alone."""

from __future__ import annotations

import numpy as np

from sections.numbers.halve import EDGE_ENDS, EdgeNumbers, number_edges
from sections.numbers.mesh import Mesh, connected


def fans_apart(mesh: Mesh) -> tuple[Mesh, np.ndarray]:
    """Return (the mesh with a corner of its own, at the same place, for each fan of faces about a corner; the corners,
    (k,), that share their place with another).

    A fan is faces that hang together by edges. Faces keep their order, corners theirs; new ones are put last.
    """
    count = len(mesh.vertices)
    edges = number_edges(mesh.faces, count)
    # A fan that is not all the way round its corner ends in two open edges.
    open_ends = np.bincount(edges.ends[edges.uses == 1].reshape(-1), minlength=count)
    faces, sources, shared = mesh.faces.copy(), [], []
    for corner in np.flatnonzero(open_ends > 2):
        about = np.flatnonzero((mesh.faces == corner).any(1))
        fans = _fans(mesh.faces[about], corner)
        for number, fan in enumerate(fans[1:], count + len(sources)):
            own = faces[about[fan]]
            faces[about[fan]] = np.where(own == corner, number, own)
            shared.append(number)
        sources += [corner] * (len(fans) - 1)
        shared.append(corner)
    vertices = np.vstack([mesh.vertices, mesh.vertices[np.array(sources, int)]])
    return Mesh(vertices, faces), np.array(shared, int)


def fan_numbers(faces: np.ndarray, edges: EdgeNumbers) -> np.ndarray:
    """Return the number, (m, 3) from 0, of the fan that each face belongs to at each of its corners: faces that hang
    together there by edges of two faces."""
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
    links = np.concatenate([np.column_stack([corners[one, 0], first]), np.column_stack([corners[one, 1], second])])
    return connected(links, 3 * len(faces)).reshape(-1, 3)


def _fans(faces: np.ndarray, corner: int) -> list[np.ndarray]:
    """Return the rows of faces about a corner, (n, 3), fan by fan: those of a fan share their other corners."""
    rows, count = np.arange(len(faces)), len(faces)
    _, other = np.unique(faces[faces != corner], return_inverse=True)
    links = np.column_stack([np.repeat(rows, 2), count + other])
    fan = connected(links, count + int(other.max()) + 1)[:count]
    return [rows[fan == number] for number in np.unique(fan)]
