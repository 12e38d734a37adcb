"""Corners of an open mesh where parts of it meet in that corner alone."""

from __future__ import annotations

import numpy as np

from sections.numbers.halve import number_edges
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


def _fans(faces: np.ndarray, corner: int) -> list[np.ndarray]:
    """Return the rows of faces about a corner, (n, 3), fan by fan: those of a fan share their other corners."""
    rows, count = np.arange(len(faces)), len(faces)
    _, other = np.unique(faces[faces != corner], return_inverse=True)
    links = np.column_stack([np.repeat(rows, 2), count + other])
    fan = connected(links, count + int(other.max()) + 1)[:count]
    return [rows[fan == number] for number in np.unique(fan)]
