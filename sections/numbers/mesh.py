"""A triangle mesh as two arrays, and what can be read off it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.sparse import coo_matrix
from scipy.sparse.csgraph import connected_components

from sections.numbers.rows import unique_rows

_YZX, _ZXY = [1, 2, 0], [2, 0, 1]
# Of a millimetre, in a print file.
_DIGITS = 6


# By what a print file is larger than the part it is to become, along the bed's x, y and upward.
Growth = tuple[float, float, float]
NO_GROWTH: Growth = (1.0, 1.0, 1.0)
# Times a place or a way: its mirror image in y = 0.
MIRROR_Y = np.array([1.0, -1.0, 1.0])


@dataclass(frozen=True)
class Mesh:
    """Triangles by index.

    vertices : (n, 3) float64, mm.
    faces : (m, 3) int64, counter-clockwise seen from outside.
    """

    vertices: np.ndarray
    faces: np.ndarray

    def __post_init__(self) -> None:
        object.__setattr__(self, "vertices", np.ascontiguousarray(self.vertices, np.float64).reshape(-1, 3))
        object.__setattr__(self, "faces", np.ascontiguousarray(self.faces, np.int64).reshape(-1, 3))

    def __len__(self) -> int:
        return len(self.faces)

    def stretched(self, growth: Growth) -> Mesh:
        """Return the mesh with its x, y and z multiplied by `growth`."""
        return self if growth == NO_GROWTH else Mesh(self.vertices * np.asarray(growth), self.faces)

    def unstretched(self, growth: Growth) -> Mesh:
        """Return the mesh that `stretched` made this one of."""
        return self if growth == NO_GROWTH else Mesh(self.vertices / np.asarray(growth), self.faces)

    @property
    def triangles(self) -> np.ndarray:
        """The corners, (m, 3, 3) float, mm."""
        return self.vertices[self.faces]

    @property
    def area_vectors(self) -> np.ndarray:
        """Half the cross product of two edges, (m, 3), mm2: normal times area."""
        corners = self.triangles
        return cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]) / 2

    @property
    def areas_mm2(self) -> np.ndarray:
        """Area of each triangle, (m,), mm2."""
        return np.linalg.norm(self.area_vectors, axis=1)

    @property
    def normals(self) -> np.ndarray:
        """Unit normals, (m, 3); zero for a triangle without area."""
        vectors = self.area_vectors
        lengths = np.linalg.norm(vectors, axis=1, keepdims=True)
        return np.divide(vectors, lengths, out=np.zeros_like(vectors), where=lengths > 0)

    @property
    def widths(self) -> np.ndarray:
        """Least height of each triangle, (m,), mm."""
        corners = self.triangles
        longest = np.linalg.norm(np.roll(corners, -1, axis=1) - corners, axis=2).max(1)
        return 2 * self.areas_mm2 / np.maximum(longest, 1e-300)

    @property
    def corner_angles(self) -> np.ndarray:
        """The angle of each triangle at each of its corners, (m, 3), rad."""
        corners = self.triangles
        one, two = np.roll(corners, -1, axis=1) - corners, np.roll(corners, -2, axis=1) - corners
        sine = np.linalg.norm(cross(one.reshape(-1, 3), two.reshape(-1, 3)), axis=1).reshape(-1, 3)
        return np.arctan2(sine, np.einsum("ijk,ijk->ij", one, two))

    def shell_volumes(self, shells: np.ndarray) -> np.ndarray:
        """Return what each separate surface encloses, mm3, negative where it looks inward. shells : (m,)
        `shell_numbers`."""
        return np.bincount(shells, np.einsum("ij,ij->i", self.triangles[:, 0], self.area_vectors) / 3)

    @property
    def volume_mm3(self) -> float:
        """Signed volume, mm3, by the divergence theorem; a number without meaning for an open mesh."""
        corners = self.triangles - self.vertices.mean(0) if len(self) else self.triangles
        a, b, c = np.moveaxis(corners, 1, 0)
        return float(np.einsum("ij,ij->", a, cross(b, c)) / 6)

    @property
    def bounds(self) -> np.ndarray:
        """Smallest and largest corner, (2, 3), mm. Raises ValueError for an empty mesh."""
        return np.array([self.vertices.min(0), self.vertices.max(0)])

    @property
    def size(self) -> np.ndarray:
        """Extents, (3,), mm."""
        low, high = self.bounds
        return high - low

    def mirrored_y(self) -> Mesh:
        """Return the mirror image in y = 0, turned so that its faces still look outward."""
        return Mesh(self.vertices * MIRROR_Y, self.faces[:, ::-1])

    def submesh(self, chosen: np.ndarray) -> Mesh:
        """Return the faces picked by a mask or index array, with only the vertices they use."""
        faces = self.faces[chosen]
        used, inverse = np.unique(faces, return_inverse=True)
        return Mesh(self.vertices[used], inverse.reshape(-1, 3))

    def reaching(self, bounds: np.ndarray) -> Mesh:
        """Return the faces whose own boxes reach into (2, 3) bounds, mm."""
        corners = self.triangles
        return self.submesh(((corners.min(1) <= bounds[1]) & (corners.max(1) >= bounds[0])).all(1))

    def compact(self) -> Mesh:
        """Return the mesh without vertices no face uses."""
        return self.submesh(slice(None))


def cross(one: np.ndarray, two: np.ndarray) -> np.ndarray:
    """Return the cross products (n, 3) of rows (n, 3); numpy's own takes three times as long."""
    return one[:, _YZX] * two[:, _ZXY] - one[:, _ZXY] * two[:, _YZX]


def join(meshes: list[Mesh]) -> Mesh:
    """Return all meshes in one, vertices not shared between them."""
    starts = np.cumsum([0, *(len(m.vertices) for m in meshes)])
    return Mesh(
        np.vstack([np.empty((0, 3)), *(m.vertices for m in meshes)]),
        np.vstack([np.empty((0, 3), np.int64), *(m.faces + s for m, s in zip(meshes, starts, strict=False))]),
    )


def weld(mesh: Mesh, tolerance: float) -> Mesh:
    """Return the mesh with vertices closer than about `tolerance` mm made one, and collapsed faces dropped."""
    if not len(mesh):
        return mesh
    made = near_made_one(mesh, tolerance)
    return Mesh(made.vertices, _without_collapsed(made.faces)).compact()


def near_made_one(mesh: Mesh, tolerance: float) -> Mesh:
    """Return the mesh with vertices closer than about `tolerance` mm made one; faces collapsed by that are still there.

    Vertices are sorted into cells of a lattice of that pitch and again into one shifted by half a cell, so
    that two vertices closer than half the tolerance always meet.
    """
    vertices, faces = mesh.vertices, mesh.faces
    for shift in (0.0, 0.5):
        first, group = unique_rows(np.floor(vertices / tolerance + shift).astype(np.int64))
        vertices, faces = vertices[first], group[faces]
    return Mesh(vertices, faces)


def weld_exact(mesh: Mesh) -> Mesh:
    """Return the mesh with equal vertices made one, and collapsed faces dropped."""
    if not len(mesh):
        return mesh
    first, group = unique_rows(mesh.vertices)
    return Mesh(mesh.vertices[first], _without_collapsed(group[mesh.faces])).compact()


def without_fragments(mesh: Mesh, volume: float) -> Mesh:
    """Return a closed mesh without shells, full or hollow, of at most so many mm3; as it is where all are so small."""
    shells = shell_numbers(mesh)
    small = np.abs(mesh.shell_volumes(shells)) <= volume
    return mesh if small.all() or not small.any() else mesh.submesh(~small[shells]).compact()


def in_file_numbers(mesh: Mesh) -> Mesh:
    """Return the mesh in the 32-bit coordinates, mm, of a print file; near 0, where those are finer, no two that a
    reader may take for one. Corners that come to lie on one place are still as many."""
    return Mesh(np.round(mesh.vertices, _DIGITS).astype(np.float32).astype(np.float64), mesh.faces)


def in_order(mesh: Mesh) -> Mesh:
    """Return the mesh with corners and triangles sorted by place, so that equal solids are equal to the byte.

    The solid library hands equal triangles out in an order that can change with what was built before.
    """
    order = np.lexsort(mesh.vertices.T[::-1])
    number = np.empty(len(order), np.int64)
    number[order] = np.arange(len(order))
    faces = number[mesh.faces]
    first = faces.argmin(1)
    faces = np.take_along_axis(faces, (first[:, None] + np.arange(3)) % 3, axis=1)
    return Mesh(mesh.vertices[order], faces[np.lexsort(faces.T[::-1])])


def not_collapsed(faces: np.ndarray) -> np.ndarray:
    """Return which faces (m, 3), a mask (m,), have three different corners."""
    a, b, c = faces.T
    return (a != b) & (b != c) & (c != a)


def _without_collapsed(faces: np.ndarray) -> np.ndarray:
    return faces[not_collapsed(faces)]


def shell_numbers(mesh: Mesh) -> np.ndarray:
    """Return the number, (m,) from 0, of the surface each face belongs to: faces that share no corner, however far,
    are apart."""
    links = np.concatenate([mesh.faces[:, :2], mesh.faces[:, 1:]])
    labels = connected(links, len(mesh.vertices))[mesh.faces[:, 0]]
    return np.unique(labels, return_inverse=True)[1].reshape(-1)


def shell_count(mesh: Mesh) -> int:
    """Return how many separate surfaces a mesh has."""
    return int(shell_numbers(mesh).max()) + 1 if len(mesh) else 0


def connected(links: np.ndarray, count: int) -> np.ndarray:
    """Return the number, (count,) from 0, of the group each of `count` things is in that (k, 2) links hold together."""
    graph = coo_matrix((np.ones(len(links), np.int8), (links[:, 0], links[:, 1])), shape=(count, count))
    return connected_components(graph, directed=False)[1]
