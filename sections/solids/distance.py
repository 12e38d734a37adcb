"""Distance to a mesh: one search tree, many queries, by libigl.

In a scan, small folds are left as they are (a fifth of the deviation). A place far off whose nearest skin is a face
that looks the wrong way was taken for outside, and a block of 40 mm stayed solid in a hollow: sides of such faces are
asked of the winding number (`Doubt`).

Print files hold 32-bit numbers, so a face some 1e-5 mm wide has whatever normal rounding leaves it: one turned a place
amid a wall of 4 mm into the open. The side below such a face, and off its neighbours' edges, is asked of the winding
number: at the end of a crack, a row of such faces hid one of its two sides, and 76 mm inside counted as outside.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import igl
import numpy as np

from sections.numbers.bounds import in_box
from sections.numbers.halve import number_edges
from sections.numbers.mesh import Mesh, cross
from sections.numbers.pinched_corners import fan_numbers
from sections.solids.nearest_tree import NearestTree
from sections.solids.rays import MeshRays
from sections.solids.winding import WindingNumbers

# A weight below this at a corner or edge of a triangle means the nearest point lies on that edge or corner.
_ON_EDGE = 1e-7
# A point this nearly square off a face, by the cosine, is nearest to that face itself; mm, nearer ones do not tell.
_SQUARE, _TOUCHING = 1 - 1e-9, 1e-6
# mm; a face less wide than this has the normal that rounding gave it: its neighbours tell the side.
_NEEDLE = 1e-4
# Right off a face beside a needle, by the cosine.
_OFF = 1 - 1e-6
# So many points are asked at once which of them is the furthest.
_AT_ONCE = 500


@dataclass(frozen=True)
class Doubt:
    """Where a surface does not tell inside from outside by itself.

    faces : (m,) bool, of the surface. solid : the closed mesh that is asked there.
    """

    faces: np.ndarray
    solid: Mesh


class MeshDistance:
    """Distances from points to a mesh, and rays at it. Each tree is built once, when it is first asked."""

    def __init__(self, mesh: Mesh, doubt: Doubt | None = None):
        """Keep the mesh.

        mesh : the surface; closed and outward when signs are asked for. doubt : where it is not to be trusted, as in
        the small folds of a scan: a face that looks the wrong way there would turn signs far from it.
        """
        self.mesh = mesh
        self._doubt = doubt if doubt is not None and doubt.faces.any() else None

    @cached_property
    def _tree(self) -> NearestTree:
        return NearestTree(self.mesh)

    @cached_property
    def _rays(self) -> MeshRays:
        return MeshRays(self.mesh)

    def nearest(self, points: np.ndarray) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
        """Return (distance (n,) mm, face index (n,), nearest point (n, 3) mm) for (n, 3) points."""
        points = np.ascontiguousarray(points, np.float64).reshape(-1, 3)
        if not len(points):
            return np.empty(0), np.empty(0, np.int64), np.empty((0, 3))
        return self._tree.nearest(points)

    def unsigned(self, points: np.ndarray) -> np.ndarray:
        """Return the distance, (n,) mm, never negative."""
        return self.nearest(points)[0]

    def are_off(self, points: np.ndarray, limit: float) -> np.ndarray:
        """Return which of (n, 3) points, (n,) bool, are further than `limit` mm off the mesh; what is far off its box
        is not looked for."""
        off = ~in_box(points, self.mesh.bounds, limit)
        near = np.flatnonzero(~off)
        off[near] = self.unsigned(points[near]) > limit
        return off

    def are_outside(self, points: np.ndarray, margin: float) -> np.ndarray:
        """Return which of (n, 3) points, (n,) bool, lie outside the surface by more than `margin` mm, 0 or more."""
        outside = ~in_box(points, self.mesh.bounds, margin)
        near = np.flatnonzero(~outside)
        outside[near] = self.depth(points[near]) < -margin
        return outside

    def largest(self, points: np.ndarray, faces: np.ndarray) -> float:
        """Return the largest distance, mm, of (n, 3) points to the mesh. faces : (n,) one near each; the nearest is
        searched for the points alone that lie furthest off theirs."""
        bound = self._distance_to(points, faces)
        order, largest, done = np.argsort(-bound), 0.0, 0
        while done < len(order) and bound[order[done]] > largest:
            part = order[done : done + _AT_ONCE]
            largest, done = max(largest, float(self.unsigned(points[part]).max())), done + len(part)
        return largest

    def are_beyond(self, points: np.ndarray, faces: np.ndarray, limit: float) -> np.ndarray:
        """Return which points, (n,) bool, are further than `limit` mm off the mesh. faces : (n,) one near each."""
        beyond = self._distance_to(points, faces) > limit
        asked = np.flatnonzero(beyond)
        beyond[asked] = self.unsigned(points[asked]) > limit
        return beyond

    def _distance_to(self, points: np.ndarray, faces: np.ndarray) -> np.ndarray:
        """Return how far, (n,) mm, each point is off a place on its own face, near to the nearest on it."""
        triangles = self.mesh.vertices[self.mesh.faces[faces]]
        weights = _barycentric(triangles, points).clip(0.0, None)
        weights /= weights.sum(1, keepdims=True)
        return np.linalg.norm(points - np.einsum("nk,nkj->nj", weights, triangles), axis=1)

    def depth(self, points: np.ndarray) -> np.ndarray:
        """Return how deep each point lies below the surface, (n,) mm: positive inside, negative outside."""
        return self.depth_and_nearest(points)[0]

    def depth_and_nearest(self, points: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """Return (depth (n,) mm, positive inside; nearest point (n, 3) mm)."""
        distance, face, nearest = self.nearest(points)
        # Right off a face its own normal tells.
        normal = self.face_normals[face]
        off = np.einsum("ij,ij->i", points - nearest, normal)
        unsure = (np.abs(off) < _SQUARE * distance) | (distance < _TOUCHING) | (self._needle[face])
        slanted = np.flatnonzero(unsure)
        if len(slanted):
            normal[slanted] = self._pseudo_normal(face[slanted], nearest[slanted])
        return distance * self._side(points, face, nearest, normal), nearest

    def nearest_and_depth(self, points: np.ndarray) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
        """Return (depth (n,) mm, nearest point (n, 3) mm, outward normal there (n, 3))."""
        distance, face, nearest = self.nearest(points)
        normal = self._pseudo_normal(face, nearest)
        return distance * self._side(points, face, nearest, normal), nearest, normal

    def first_hit(
        self, origins: np.ndarray, directions: np.ndarray, most: float | np.ndarray = np.inf
    ) -> tuple[np.ndarray, np.ndarray]:
        """Return (face index (n,), -1 for none; distance (n,) mm, inf for none) along rays of unit direction.

        origins, directions : (n, 3). most : mm; what is further off need not be found.
        """
        origins, directions = _rows(origins), _rows(directions)
        if not len(origins):
            return np.empty(0, np.int64), np.empty(0)
        return self._rays.first_hit(origins, directions, most)

    def is_clear(self, origins: np.ndarray, directions: np.ndarray, length: float | np.ndarray) -> np.ndarray:
        """Return whether, (n,), nothing is met nearer than `length`, mm, along rays of unit direction."""
        return self.first_hit(origins, directions, length)[1] >= length

    def _side(self, points: np.ndarray, face: np.ndarray, nearest: np.ndarray, normal: np.ndarray) -> np.ndarray:
        """Return +1 for points inside, -1 for points outside."""
        out = np.einsum("ij,ij->i", points - nearest, normal)
        side = np.where(out > 0, -1.0, 1.0)
        # Of a row of needles along an edge, the faces on its two sides are not neighbours, and a face beside one does
        # not know, at a sharp edge, the face beyond: what is not right off such a face is told by neither.
        beside = np.flatnonzero(self._by_needle[face])
        away = np.linalg.norm(points[beside] - nearest[beside], axis=1)
        square = np.einsum("ij,ij->i", points[beside] - nearest[beside], self.face_normals[face[beside]])
        told = ~self._needle[face[beside]] & (np.abs(square) > _OFF * away)
        asked = beside[~told & (away > _TOUCHING)]
        if len(asked) and self._is_closed:
            side[asked] = np.where(self._own_winding.hold(points[asked]), 1.0, -1.0)
        if self._doubt is not None:
            asked = np.flatnonzero(self._doubt.faces[face])
            if len(asked):
                side[asked] = np.where(self._winding.hold(points[asked]), 1.0, -1.0)
        return side

    @cached_property
    def _is_closed(self) -> bool:
        edges = number_edges(self.mesh.faces, len(self.mesh.vertices))
        return bool((edges.uses == 2).all())

    @cached_property
    def _own_winding(self) -> WindingNumbers:
        return WindingNumbers(self.mesh)

    @cached_property
    def _winding(self) -> WindingNumbers:
        return WindingNumbers(self._doubt.solid)

    @cached_property
    def _needle(self) -> np.ndarray:
        return self.mesh.widths < _NEEDLE

    @cached_property
    def _by_needle(self) -> np.ndarray:
        """Which faces, (m,), are needles or meet one in a corner."""
        corners = np.zeros(len(self.mesh.vertices), bool)
        corners[self.mesh.faces[self._needle]] = True
        return corners[self.mesh.faces].any(1)

    @cached_property
    def face_normals(self) -> np.ndarray:
        """The outward unit normal of each face, (m, 3)."""
        return self.mesh.normals

    @cached_property
    def _normals(self) -> tuple[np.ndarray, np.ndarray]:
        """(corners of each face, edges of each face): (m, 3, 3), (m, 3, 3); not all unit.

        Needles count for nothing at corners and edges, where others meet; at a corner only the faces do that hang
        together there by edges, for a mesh may touch itself in one.
        """
        mesh, told = self.mesh, ~self._needle
        numbered = number_edges(mesh.faces, len(mesh.vertices))
        number, fans = numbered.number, fan_numbers(mesh.faces, numbered)
        at = mesh.corner_angles[:, :, None] * (self.face_normals * told[:, None])[:, None]
        corner = np.column_stack([np.bincount(fans.reshape(-1), at[:, :, axis].reshape(-1)) for axis in range(3)])[fans]
        uses, counted = number.reshape(-1), self.face_normals * told[:, None]
        edge = np.column_stack([np.bincount(uses, np.repeat(counted[:, axis], 3)) for axis in range(3)])
        return corner, edge[number]

    def _pseudo_normal(self, face: np.ndarray, nearest: np.ndarray) -> np.ndarray:
        """Return the normal that tells inside from outside at a nearest point: of its face, edge or corner.

        Angle-weighted pseudonormals: Baerentzen and Aanaes, IEEE TVCG 11(3), 2005 (from memory).
        """
        corners, edges = self._normals
        weights = _barycentric(self.mesh.vertices[self.mesh.faces[face]], nearest)
        near_zero = weights < _ON_EDGE
        needles = np.flatnonzero(self._needle[face])
        near_zero[needles] = self._in_needle(face[needles], nearest[needles])
        normal = self.face_normals[face]
        on_edge = near_zero.sum(1) == 1
        normal[on_edge] = edges[face[on_edge], near_zero[on_edge].argmax(1)]
        on_corner = near_zero.sum(1) == 2
        normal[on_corner] = corners[face[on_corner], (~near_zero[on_corner]).argmax(1)]
        return normal / np.maximum(np.linalg.norm(normal, axis=1, keepdims=True), 1e-300)

    def _in_needle(self, face: np.ndarray, places: np.ndarray) -> np.ndarray:
        """Return which corners' weights, (n, 3), count as none at places, (n, 3), on faces that are needles: all but
        one at a corner, else one: the place lies on the nearest edge beyond which a face has a normal of its own."""
        corners, edges = self.mesh.vertices[self.mesh.faces[face]], self._normals[1][face]
        start, along = np.roll(corners, -1, axis=1), np.roll(corners, -2, axis=1) - np.roll(corners, -1, axis=1)
        squared = np.maximum(np.einsum("ijk,ijk->ij", along, along), 1e-300)
        part = np.einsum("ijk,ijk->ij", places[:, None] - start, along) / squared
        away = np.linalg.norm(places[:, None] - start - part.clip(0, 1)[:, :, None] * along, axis=2)
        edge = np.where(np.linalg.norm(edges, axis=2) > 0.5, away, np.inf).argmin(1)
        from_corner = np.linalg.norm(places[:, None] - corners, axis=2)
        at_corner = from_corner.min(1) < _TOUCHING
        one = np.eye(3, dtype=bool)
        return np.where(at_corner[:, None], ~one[from_corner.argmin(1)], one[edge])


def _rows(vectors: np.ndarray) -> np.ndarray:
    return np.ascontiguousarray(vectors, np.float64).reshape(-1, 3)


def corner_normals(mesh: Mesh) -> np.ndarray:
    """Return the unit normal at each corner, (n, 3): of the faces there, weighted by their angles; 0 where none of them
    has an area, as in slivers that a Boolean operation leaves."""
    return np.nan_to_num(igl.per_vertex_normals(mesh.vertices, mesh.faces, igl.PER_VERTEX_NORMALS_WEIGHTING_TYPE_ANGLE))


def _barycentric(triangles: np.ndarray, points: np.ndarray) -> np.ndarray:
    """Return the corner weights (n, 3) of points in the planes of (n, 3, 3) triangles."""
    a, b, c = triangles[:, 0], triangles[:, 1], triangles[:, 2]
    normal = cross(b - a, c - a)
    area = np.maximum(np.einsum("ij,ij->i", normal, normal), 1e-300)
    at_a = np.einsum("ij,ij->i", cross(c - b, points - b), normal) / area
    at_b = np.einsum("ij,ij->i", cross(a - c, points - c), normal) / area
    return np.column_stack([at_a, at_b, 1 - at_a - at_b])
