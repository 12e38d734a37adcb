"""Faces of one mesh that pass through one another."""

from __future__ import annotations

import igl.predicates
import numpy as np
import shapely

from sections.numbers.mesh import Mesh
from sections.numbers.rows import unique_rows

# Faces whose boxes meet, two by two: more are not all looked at (10 us each, measured), but a part with so many of
# them; how many faces tell how many there are; a mesh with fewer faces is never that large.
_MANY_PAIRS, _PAIRS, _TRIED, _FEW = 2e6, 2e5, 60, 1000
# mm; a face narrower than this looks nowhere.
_NO_WIDTH = 1e-6


def crossing_faces(mesh: Mesh, depth: float) -> np.ndarray:
    """Return the indices, sorted, of faces that pass through others by more than `depth` mm, or lie on others in a
    strip wider than that.

    The pairs are found with exact predicates, so that no crossing is missed and no shared edge is taken for one.
    How deep a pair crosses: each face has corners on both sides of the other's plane, at least this far off it; where
    two meet in a corner, the line they cross in is longer, too. Faces narrower than `depth` have no plane worth
    speaking of and do not count.
    """
    found, pairs, coplanar = igl.predicates.find_self_intersections(mesh.vertices, mesh.faces)
    if not found:
        return np.empty(0, np.int64)
    one, two = pairs[:, 0], pairs[:, 1]
    through = np.minimum(_through(mesh, one, two), _through(mesh, two, one))
    through = np.where(_meet(mesh, one, two, depth), np.minimum(through, _line(mesh, one, two)), through)
    over, width = (coplanar.reshape(-1) != 0) & ~_beside(mesh, one, two), mesh.widths[pairs].min(1)
    through[over] = np.inf
    plain = over & (width > _NO_WIDTH)
    through[plain] = _overlap(mesh, one[plain], two[plain])
    return np.unique(pairs[(through > depth) & (width > depth)])


def _meet(mesh: Mesh, one: np.ndarray, two: np.ndarray, near: float) -> np.ndarray:
    """Return which pairs of faces, (n,), have corners so near to one another, mm."""
    corners, others = mesh.vertices[mesh.faces[one]], mesh.vertices[mesh.faces[two]]
    return (np.linalg.norm(corners[:, :, None] - others[:, None], axis=3) <= near).any((1, 2))


def crossing_by_place(mesh: Mesh, depth: float) -> np.ndarray:
    """Return what crossing_faces does, for a mesh as it came: parts that only touch have corners of their own at one
    place there, and by number alone their faces would meet. Of a mesh that crosses itself all over, some that do."""
    some = _some_of_many(mesh, depth)
    if len(some):
        return some
    first, place = unique_rows(mesh.vertices)
    return crossing_faces(Mesh(mesh.vertices[first], place[mesh.faces]), depth)


def faces_near(mesh: Mesh) -> float:
    """Return the number of others' boxes that the box of a face meets, on average of some faces that are tried."""
    rng = np.random.default_rng(7)
    low, high = mesh.triangles.min(1), mesh.triangles.max(1)
    tried = rng.choice(len(mesh), min(_TRIED, len(mesh)), replace=False)
    return float(np.mean([((low <= high[face]) & (high >= low[face])).all(1).sum() for face in tried]))


def _some_of_many(mesh: Mesh, depth: float) -> np.ndarray:
    """Return some of the faces that cross where so many come near one another that all pairs would take minutes and
    gigabytes, as in noise; none where it is no such mesh, or those looked at do not cross."""
    pairs = faces_near(mesh) * len(mesh) / 2 if len(mesh) >= _FEW else 0.0
    if pairs < _MANY_PAIRS:
        return np.empty(0, np.int64)
    rng = np.random.default_rng(8)
    part = np.sort(rng.choice(len(mesh), max(int(len(mesh) * (_PAIRS / pairs) ** 0.5), 2), replace=False))
    return part[crossing_faces(mesh.submesh(part), depth)]


def _beside(mesh: Mesh, one: np.ndarray, two: np.ndarray) -> np.ndarray:
    """Return which pairs of faces, (n,), share an edge and lie on two sides of it: libigl takes two in one plane that
    run along it the same way for one over the other."""
    corners, others = mesh.vertices[mesh.faces[one]], mesh.vertices[mesh.faces[two]]
    same = (corners[:, :, None] == others[:, None]).all(3)
    share_edge = same.sum((1, 2)) == 2
    # The third corner of each, and the two they share.
    third, third_two = (~same.any(2)).argmax(1), (~same.any(1)).argmax(1)
    rows = np.arange(len(one))
    start, stop = corners[rows, (third + 1) % 3], corners[rows, (third + 2) % 3]
    along = stop - start
    across = np.cross(along, corners[rows, third] - start), np.cross(along, others[rows, third_two] - start)
    return share_edge & (np.einsum("ij,ij->i", *across) < 0)


def _overlap(mesh: Mesh, one: np.ndarray, two: np.ndarray) -> np.ndarray:
    """Return how wide, (n,) mm, the strip is in which two faces of one plane lie on one another: four times its area by
    its way round, which is no less than the width of a strip and no more than twice that."""
    corners = mesh.vertices[mesh.faces[one]]
    along = corners[:, 1] - corners[:, 0]
    along = along / np.maximum(np.linalg.norm(along, axis=1), 1e-300)[:, None]
    across = np.cross(mesh.normals[one], along)
    axes = np.stack([along, across], axis=2)
    first, second = (
        shapely.polygons(np.einsum("nkj,nji->nki", mesh.vertices[mesh.faces[faces]] - corners[:, :1], axes))
        for faces in (one, two)
    )
    shared = shapely.intersection(first, second)
    return 4 * shapely.area(shared) / np.maximum(shapely.length(shared), 1e-300)


def _line(mesh: Mesh, one: np.ndarray, two: np.ndarray) -> np.ndarray:
    """Return how long, (n,) mm, the line is in which two faces cross."""
    along = np.cross(mesh.normals[one], mesh.normals[two])
    along /= np.maximum(np.linalg.norm(along, axis=1), 1e-12)[:, None]
    (low, high), (low_two, high_two) = _on_line(mesh, one, two, along), _on_line(mesh, two, one, along)
    return (np.minimum(high, high_two) - np.maximum(low, low_two)).clip(0)


def _on_line(mesh: Mesh, faces: np.ndarray, others: np.ndarray, along: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Return from where to where, (n,) mm, along a direction the plane of each other face cuts a face."""
    corners = mesh.vertices[mesh.faces[faces]]
    off = np.einsum("nkj,nj->nk", corners - mesh.vertices[mesh.faces[others, 0]][:, None], mesh.normals[others])
    next_, next_off = np.roll(corners, -1, axis=1), np.roll(off, -1, axis=1)
    cut = (off * next_off <= 0) & (off != next_off)
    part = np.where(cut, off / np.where(cut, off - next_off, 1.0), 0.0)
    at = np.einsum("nkj,nj->nk", corners + part[:, :, None] * (next_ - corners), along)
    return np.where(cut, at, np.inf).min(1), np.where(cut, at, -np.inf).max(1)


def doubtful_faces(mesh: Mesh) -> np.ndarray:
    """Return which faces, (m,), do not tell inside from outside: those without width, those that pass through others
    however little, and those about them."""
    bad = mesh.widths < _NO_WIDTH
    bad[crossing_faces(mesh, 0.0)] = True
    corners = np.zeros(len(mesh.vertices), bool)
    corners[mesh.faces[bad]] = True
    return corners[mesh.faces].any(1)


def _through(mesh: Mesh, faces: np.ndarray, others: np.ndarray) -> np.ndarray:
    """Return how far, (n,) mm, each face reaches to both sides of the plane of the other."""
    normal, corner = mesh.normals[others], mesh.vertices[mesh.faces[others, 0]]
    off = np.einsum("nkj,nj->nk", mesh.vertices[mesh.faces[faces]] - corner[:, None], normal)
    return np.minimum(off.max(1), -off.min(1)).clip(0)
