"""A surface brought as near to a field's zero between its corners as at them, with no face through another.

A surface whose faces' middles lay within 0.1 mm of their depth was 0.14 mm off at the middle of an edge: both are
looked at.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from scipy.spatial import cKDTree

from sections.numbers.bounds import in_box
from sections.numbers.halve import halve, number_edges
from sections.numbers.mesh import Mesh
from sections.solids.crossing import crossing_faces
from sections.wall.levels import Field
from sections.wall.marching import Surface

_ROUNDS = 4
# mm; how far an edge's middle may be off; the shortest edge that is halved; how exact a middle must come to lie.
_OFF, _SHORTEST, _EXACT = 0.03, 0.4, 0.01
# Of an edge: no middle is moved farther.
_FARTHEST = 0.5
# mm; corners moved by more may have led faces through others; how deep counts.
_MOVED, _CROSSED = 1e-6, 0.01
_UNFOLDINGS = 8


def refined(surface: Surface, field: Field) -> Surface:
    """Return a surface with edges halved whose middles are off the field's zero, the middles laid on it."""
    vertices, faces, known, laid = surface.mesh.vertices, surface.mesh.faces, surface.known, surface.laid
    cells, old = surface.cells, 0
    for _ in range(_ROUNDS):
        edges = number_edges(faces, len(vertices))
        asked = np.flatnonzero(known[edges.ends].all(1) & (edges.ends >= old).any(1))
        middle = vertices[edges.ends[asked]].mean(1)
        wrong = field.off(middle) > _OFF
        asked, middle = asked[wrong], middle[wrong]
        length = np.linalg.norm(np.diff(vertices[edges.ends[asked]], axis=1)[:, 0], axis=1)
        moved, off = field.onto(middle)
        good = (off < _EXACT) & (length > _SHORTEST)
        good &= np.linalg.norm(moved - middle, axis=1) < _FARTHEST * length
        if not good.any():
            break
        wanted = np.zeros(len(edges.ends), bool)
        wanted[asked[good]] = True
        old = len(vertices)
        halved = halve(faces, edges, wanted, old)
        faces, cells = halved.faces, cells[halved.parent]
        laid = np.vstack([laid, laid[edges.ends[asked[good]]].mean(1)])
        vertices = np.vstack([vertices, moved[good]])
        known = np.concatenate([known, np.ones(int(good.sum()), bool)])
    normals = np.zeros_like(vertices)
    return Surface(Mesh(vertices, faces), known, normals, laid, cells)


def unfolded(surface: Surface) -> Surface:
    """Return a surface with corners put back where they were laid whose faces now pass through others. As laid, none
    does. Only faces beside a corner that was moved are looked at, and then beside one that was put back."""
    vertices, faces, laid = surface.mesh.vertices.copy(), surface.mesh.faces, surface.laid
    changed = moved = np.linalg.norm(vertices - laid, axis=1) > _MOVED
    for _ in range(_UNFOLDINGS):
        if not changed.any():
            break
        beside = faces[_beside(vertices[faces], changed[faces].any(1))]
        back = np.unique(beside[crossing_faces(Mesh(vertices, beside).compact(), _CROSSED)])
        changed = np.zeros(len(vertices), bool)
        changed[back] = moved[back]
        moved = moved & ~changed
        vertices[changed] = laid[changed]
    return replace(surface, mesh=Mesh(vertices, faces))


def _beside(triangles: np.ndarray, changed: np.ndarray) -> np.ndarray:
    """Return which faces, (m, 3, 3) mm, may touch one of those, (m,) bool, that were changed."""
    middle = triangles.mean(1)
    reach = np.linalg.norm(triangles - middle[:, None], axis=2).max(1)
    far = reach + reach[changed].max()
    return cKDTree(middle[changed]).query(middle, distance_upper_bound=far.max())[0] <= far


def places_off(surface: Surface, field: Field, bounds: np.ndarray, limit: float) -> np.ndarray:
    """Return the middles, (n, 3) mm, of faces and edges within (2, 3) bounds that bound the hollow and are further off
    the field's zero than `limit` mm."""
    known = surface.known[surface.mesh.faces].all(1)
    ends = number_edges(surface.mesh.faces[known], len(surface.mesh.vertices)).ends
    middle = np.vstack([surface.mesh.triangles[known].mean(1), surface.mesh.vertices[ends].mean(1)])
    middle = middle[in_box(middle, bounds)]
    middle = middle[field.counts(middle, limit)]
    return middle[field.off(middle) > limit]
