"""The separate surfaces of a mesh, and the holes in them."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sections.numbers.halve import number_edges
from sections.numbers.mesh import Mesh, connected, cross, shell_numbers
from sections.numbers.span import span


@dataclass(frozen=True)
class JoinedFaces:
    """Faces that hang together by their corners.

    faces : how many. area : mm2. bounds : (2, 3) mm. open_edges : how many of its edges have one face only.
    volume : mm3, negative where a closed surface looks inward; None for one that is not closed.
    """

    faces: int
    area: float
    bounds: np.ndarray
    open_edges: int
    volume: float | None

    @property
    def diagonal(self) -> float:
        """Diagonal of its bounds, mm."""
        return float(np.linalg.norm(self.bounds[1] - self.bounds[0]))


@dataclass(frozen=True)
class OpenRim:
    """Open edges that hang together. edges : how many. length : mm, all of them. span : mm, between the two places of
    its rim that are farthest apart. bounds : (2, 3) mm."""

    edges: int
    length: float
    span: float
    bounds: np.ndarray


@dataclass(frozen=True)
class Rims:
    """The edges of a mesh with one face only. ends : (k, 2) their corners. faces : (k,) the face of each."""

    ends: np.ndarray
    faces: np.ndarray

    @staticmethod
    def of(mesh: Mesh) -> Rims:
        """Return those of a welded mesh."""
        edges = number_edges(mesh.faces, len(mesh.vertices))
        alone = edges.uses == 1
        return Rims(edges.ends[alone], edges.first[alone] // 3)


def surfaces_of(mesh: Mesh, rims: Rims) -> tuple[list[JoinedFaces], np.ndarray]:
    """Return (the surfaces of a welded mesh, largest area first; the number of each face's surface, (m,))."""
    number, areas = shell_numbers(mesh), mesh.areas_mm2
    rank = np.argsort(np.argsort(-np.bincount(number, areas), kind="stable"), kind="stable")
    number = rank[number]
    open_edges = np.bincount(number[rims.faces], minlength=len(rank))
    volumes = np.bincount(number, _tetrahedra(mesh))
    low, high = _bounds(mesh.triangles.min(1), number), -_bounds(-mesh.triangles.max(1), number)
    counts, areas = np.bincount(number), np.bincount(number, areas)
    made = [
        JoinedFaces(int(counts[n]), float(areas[n]), np.array([low[n], high[n]]), int(open_edges[n]),
                float(volumes[n]) if open_edges[n] == 0 else None)
        for n in range(len(rank))
    ]  # fmt: skip
    return made, number


def open_rims(mesh: Mesh, rims: Rims) -> list[OpenRim]:
    """Return the holes of a welded mesh, longest rim first."""
    if not len(rims.ends):
        return []
    used, ends = np.unique(rims.ends, return_inverse=True)
    ends = ends.reshape(-1, 2)
    corners = mesh.vertices[used]
    labels = connected(ends, len(used))[ends[:, 0]]
    lengths = np.linalg.norm(corners[ends[:, 0]] - corners[ends[:, 1]], axis=1)
    low = _bounds(corners[ends].min(1), labels)
    high = -_bounds(-corners[ends].max(1), labels)
    counts, lengths = np.bincount(labels), np.bincount(labels, lengths)
    order = np.argsort(labels, kind="stable")
    rims = np.split(ends[order], np.cumsum(counts)[:-1])
    holes = [
        OpenRim(int(counts[n]), float(lengths[n]), span(corners[np.unique(rim)]), np.array([low[n], high[n]]))
        for n, rim in enumerate(rims)
    ]
    return sorted(holes, key=lambda hole: -hole.length)


def _tetrahedra(mesh: Mesh) -> np.ndarray:
    """Return the signed volume, (m,) mm3, between each face and the middle of the mesh."""
    a, b, c = np.moveaxis(mesh.triangles - mesh.bounds.mean(0), 1, 0)
    return np.einsum("ij,ij->i", a, cross(b, c)) / 6


def _bounds(points: np.ndarray, group: np.ndarray) -> np.ndarray:
    """Return the smallest coordinates of each group of points, (groups, 3)."""
    order = np.argsort(group, kind="stable")
    starts = np.searchsorted(group[order], np.arange(group.max() + 1))
    return np.minimum.reduceat(points[order], starts, axis=0)
