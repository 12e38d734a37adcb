"""A surface brought as near to a field's zero between its corners as at them, with no face through another.

A surface whose faces' middles lay within 0.1 mm of their depth was 0.14 mm off at the middle of an edge: both are
looked at. The middle of a sharp edge that bends is laid on both surfaces beside it: the field there tells of one of
them alone, on which it may lie already.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from scipy.spatial import cKDTree

from sections.numbers.bounds import in_box
from sections.numbers.halve import EdgeNumbers, halve, number_edges
from sections.numbers.mesh import Mesh
from sections.solids.crossing import crossing_faces
from sections.wall.crease_line import LEAST_ANGLE, off_line, onto_line
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
        creases = _Creases.of(Mesh(vertices, faces), edges, asked)
        off = field.off(middle)
        off[creases.rows] = np.maximum(off[creases.rows], off_line(field, creases.middle, creases.into))
        wrong = off > _OFF
        asked, middle, creases = asked[wrong], middle[wrong], creases.of_rows(wrong)
        length = np.linalg.norm(np.diff(vertices[edges.ends[asked]], axis=1)[:, 0], axis=1)
        moved, off = field.onto(middle)
        moved[creases.rows] = onto_line(field, creases.middle, creases.into)
        off[creases.rows] = field.off(moved[creases.rows])
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


@dataclass(frozen=True)
class _Creases:
    """Edges between two faces that do not look alike. rows : (k,) which of the edges asked about. middle : (k, 3) mm.
    into : (k, 2, 3) mm, from there to the third corner of either face."""

    rows: np.ndarray
    middle: np.ndarray
    into: np.ndarray

    @staticmethod
    def of(mesh: Mesh, edges: EdgeNumbers, asked: np.ndarray) -> _Creases:
        """Return those among some edges, (n,), of a mesh."""
        between, *faces = edges.between()
        normals = mesh.normals
        cosine = np.einsum("ij,ij->i", *(normals[some] for some in faces))
        row = np.full(len(edges.ends), -1)
        row[asked] = np.arange(len(asked))
        sharp = (cosine < np.cos(np.radians(LEAST_ANGLE))) & (row[between] >= 0)
        between, faces = between[sharp], [some[sharp] for some in faces]
        ends = edges.ends[between]
        middle = mesh.vertices[ends].mean(1)
        third = [mesh.faces[some].sum(1) - ends.sum(1) for some in faces]
        into = np.stack([mesh.vertices[corner] - middle for corner in third], axis=1)
        return _Creases(row[between], middle, into)

    def of_rows(self, kept: np.ndarray) -> _Creases:
        """Return those of the rows that are kept, (n,) bool, of the edges asked about."""
        mine = kept[self.rows]
        return _Creases((np.cumsum(kept) - 1)[self.rows[mine]], self.middle[mine], self.into[mine])


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
