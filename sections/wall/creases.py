"""Sharp edges of a surface that marching cubes cut off: a corner of its own in each lattice cell they pass through.

The corner lies where the planes through the cell's other corners meet, best by least squares (as in the extended
marching cubes of Kobbelt, Botsch, Schwanecke and Seidel, SIGGRAPH 2001); two such corners of neighbouring cells are
joined by an edge. Where a surface bends within the cell, as the round side of a drum does at its flat end, those planes
meet up to 0.5 mm off the edge: the corner is moved from there onto both surfaces. Left out, such cells made the lattice
finer all along the edge (four times the triangles, twice the time).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sections.numbers.halve import number_edges
from sections.numbers.mesh import Mesh, connected
from sections.wall.crease_line import LEAST_ANGLE, onto_line
from sections.wall.lattice import Lattice
from sections.wall.levels import Field
from sections.wall.marching import Surface

# deg; normals in a cell that differ by more have an edge between them.
_EDGE = 5.0
# A direction in which normals tell this little, as a part of the most, tells nothing.
_TELLS = 1e-3
# mm; how far off the field's zero a corner may be: more, and the surface is round there. How far outside its cell, as
# part of the pitch.
_OFF, _OUTSIDE = 0.05, 0.25
# The cosine by which a face between two new corners still looks as the surface does.
_LOOKS = 0.3


@dataclass(frozen=True)
class _Patches:
    """What of a surface lies in one lattice cell and holds together there.

    number : (m,) of each face's. corners : (k, 2), (patch, corner) pairs. count : of patches.
    """

    number: np.ndarray
    corners: np.ndarray
    count: int

    def sum(self, values: np.ndarray) -> np.ndarray:
        """Return values (k, ...) of the pairs added up by patch."""
        flat = values.reshape(len(values), -1)
        added = [np.bincount(self.corners[:, 0], column, self.count) for column in flat.T]
        return np.stack(added, -1).reshape(self.count, *values.shape[1:])

    def least(self, values: np.ndarray) -> np.ndarray:
        """Return which pair of each patch, (count,), has the least of values (k,)."""
        patch = self.corners[:, 0]
        return np.lexsort((values, patch))[np.searchsorted(patch, np.arange(self.count))]


def with_creases(surface: Surface, field: Field, lattice: Lattice) -> Surface:
    """Return a surface with its sharp edges."""
    patches = _patches(surface)
    chosen, middle, corner = _sharp_corners(surface, patches, field, lattice)
    if not len(chosen):
        return surface
    node = np.full(patches.count, -1)
    node[chosen] = len(surface.mesh.vertices) + np.arange(len(chosen))
    vertices = np.vstack([surface.mesh.vertices, corner])
    faces, cells = _fanned(surface, patches, node, vertices)
    nothing = np.zeros((len(chosen), 3))
    return Surface(
        Mesh(vertices, faces),
        np.concatenate([surface.known, np.ones(len(chosen), bool)]),
        np.vstack([surface.normals, nothing]),
        np.vstack([surface.laid, middle]),
        cells,
    )


def _patches(surface: Surface) -> _Patches:
    faces = surface.mesh.faces
    _, one, two = number_edges(faces, len(surface.mesh.vertices)).between()
    same = (surface.cells[one] == surface.cells[two]).all(1)
    number = np.unique(connected(np.column_stack([one, two])[same], len(faces)), return_inverse=True)[1].reshape(-1)
    pairs = np.repeat(number, 3) * len(surface.mesh.vertices) + faces.reshape(-1)
    corners = np.column_stack(np.divmod(np.unique(pairs), len(surface.mesh.vertices)))
    return _Patches(number, corners, int(number.max()) + 1)


@dataclass(frozen=True)
class _Tried:
    """Corners tried in lattice cells. low : (k, 3) mm, each cell's first node. found : (k, 3) mm. good : (k,) whether
    the corner lies in its cell and on the surface. Both are filled in as corners are taken."""

    field: Field
    pitch: float
    low: np.ndarray
    found: np.ndarray
    good: np.ndarray

    @staticmethod
    def none(field: Field, lattice: Lattice, cells: np.ndarray) -> _Tried:
        """Return for cells, (k, 3), none tried yet."""
        low = lattice.points(cells)
        return _Tried(field, lattice.pitch, low, low.copy(), np.zeros(len(cells), bool))

    def take(self, rows: np.ndarray, corners: np.ndarray) -> None:
        """Try corners, (n, 3) mm, in some of the cells, (n,)."""
        outside = np.maximum(self.low[rows] - corners, corners - self.low[rows] - self.pitch).max(1, initial=0.0)
        good = (outside < _OUTSIDE * self.pitch) & (np.abs(self.field.values(corners)) < _OFF)
        self.found[rows[good]], self.good[rows[good]] = corners[good], True


def _sharp_corners(surface: Surface, patches: _Patches, field: Field, lattice: Lattice):
    """Return (patches with a sharp edge, (k,); the middle of each, (k, 3) mm; the corner on its edge, (k, 3) mm)."""
    which, corner = patches.corners.T
    normal, place = surface.normals[corner], surface.mesh.vertices[corner]
    known = patches.sum((~surface.known[corner])[:, None])[:, 0] == 0
    mean = patches.sum(normal)
    mean /= np.maximum(np.linalg.norm(mean, axis=1, keepdims=True), 1e-12)
    alike = np.einsum("ij,ij->i", normal, mean[which])
    one = patches.least(alike)
    chosen = np.flatnonzero(known & (alike[one] < np.cos(np.radians(_EDGE / 2))))
    middle = patches.sum(place) / patches.sum(np.ones((len(which), 1)))
    off = np.einsum("ij,ij->i", normal, place - middle[which])
    square = patches.sum(normal[:, :, None] * normal[:, None, :])[chosen]
    right = patches.sum(normal * off[:, None])[chosen]
    cells = np.zeros((patches.count, 3), np.int64)
    cells[patches.number] = surface.cells
    tried = _Tried.none(field, lattice, cells[chosen])
    # Where three faces meet; where two do, if that is not it; where one of the two is bent, by the two corners whose
    # normals differ most.
    for rank in (3, 2):
        rows = np.flatnonzero(~tried.good)
        corners = middle[chosen[rows]] + _least_squares(square[rows], right[rows], rank)
        tried.take(rows, corners)
    bent = ~tried.good[rows] & (alike[one[chosen[rows]]] < np.cos(np.radians(LEAST_ANGLE / 2)))
    rows, corners = rows[bent], corners[bent]
    other = patches.least(np.einsum("ij,ij->i", normal, normal[one[which]]))
    sides = place[np.column_stack([one, other])[chosen[rows]]]
    tried.take(rows, onto_line(field, corners, sides - corners[:, None]))
    return chosen[tried.good], middle[chosen[tried.good]], tried.found[tried.good]


def _least_squares(square: np.ndarray, right: np.ndarray, rank: int) -> np.ndarray:
    """Return the smallest solutions, (n, 3), of (n, 3, 3) equations, of directions that tell enough, `rank` at most."""
    values, axes = np.linalg.eigh(square)
    tells = values > _TELLS * values[:, -1:]
    tells[:, : 3 - rank] = False
    inverse = np.where(tells, 1 / np.maximum(values, 1e-12), 0.0)
    return np.einsum("nij,nj,nkj,nk->ni", axes, inverse, axes, right)


def _fanned(surface: Surface, patches: _Patches, node: np.ndarray, vertices: np.ndarray):
    """Return (faces, cells) with every patch that has a node drawn to it, and nodes of neighbouring patches joined.

    node : (count,) the new corner of each patch, -1 where it has none.
    """
    faces, count = surface.mesh.faces, len(vertices)
    fanned = node[patches.number] >= 0
    rim, patch, cells = _rims(faces[fanned], patches.number[fanned], surface.cells[fanned], count)
    fans = np.column_stack([rim, node[patch]])
    # The same edge the other way round is a neighbour's.
    key, back = rim[:, 0] * count + rim[:, 1], rim[:, 1] * count + rim[:, 0]
    order = np.argsort(key)
    at = np.minimum(np.searchsorted(key[order], back), len(key) - 1)
    mate = np.where(key[order][at] == back, order[at], -1)
    one = np.flatnonzero(mate > np.arange(len(mate)))
    two = mate[one]
    start, stop = rim[one].T
    here, there = node[patch[one]], node[patch[two]]
    joined = np.stack([np.column_stack([here, start, there]), np.column_stack([there, stop, here])])
    looks = np.array([Mesh(vertices, half).normals for half in joined])
    along = np.einsum("knj,knj->kn", looks, surface.normals[np.stack([start, stop])]) > _LOOKS
    flat = along.all(0)
    left = np.ones(len(fans), bool)
    left[one[flat]] = left[two[flat]] = False
    kept, new = ~fanned, joined[:, flat].reshape(-1, 3)
    of_new = np.concatenate([cells[one[flat]], cells[two[flat]]])
    return np.vstack([faces[kept], fans[left], new]), np.vstack([surface.cells[kept], cells[left], of_new])


def _rims(faces: np.ndarray, patch: np.ndarray, cells: np.ndarray, count: int):
    """Return the edges around patches of faces, (k, 2), each patch on their left, with patch and cell of each."""
    ends = faces[:, [[0, 1], [1, 2], [2, 0]]].reshape(-1, 2)
    patch, cells = np.repeat(patch, 3), np.repeat(cells, 3, axis=0)
    low, high = np.sort(ends, axis=1).T
    _, number, uses = np.unique(
        np.column_stack([patch, low * count + high]), axis=0, return_inverse=True, return_counts=True
    )
    rim = uses[number.reshape(-1)] == 1
    return ends[rim], patch[rim], cells[rim]
