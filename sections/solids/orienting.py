"""Turning the faces of a mesh alike, and outward."""

from __future__ import annotations

from dataclasses import dataclass

import igl
import numpy as np

from sections.numbers.even_directions import even_directions
from sections.numbers.halve import number_edges
from sections.numbers.mesh import Mesh
from sections.numbers.sampling import sample_surface
from sections.solids.distance import MeshDistance

_RAYS, _SEED = 400, 29
# Rays that get away from one side less those from the other, as a part of all: below this, sight does not tell.
CLEAR_SIGHT = 0.25
# Of a skin that bulges toward the side most of it can be seen from at once: how much of it at least; how far, as a part
# of its diagonal; from how many directions it is looked at.
_SEEN_AT_ONCE, _BULGE, _VIEWS = 0.9, 0.005, 200


@dataclass(frozen=True)
class Turned:
    """A mesh with its faces turned. turned : (m,) bool, which ones. by : how outward was found, a word a patch
    of faces that hang together by edges: "direction", "volume", "sight", "bulge" or "majority"."""

    mesh: Mesh
    turned: np.ndarray
    by: tuple[str, ...]


@dataclass(frozen=True)
class Alike:
    """The faces of a mesh turned alike in each patch that hangs together by edges of two, one way or the other.

    patch : (m,) the number of each face's patch. kept : (m,) bool, which faces are turned as they were.
    """

    mesh: Mesh
    patch: np.ndarray
    kept: np.ndarray


def turned_alike(mesh: Mesh) -> Alike:
    """Return a mesh with the faces of each patch turned alike, by libigl."""
    faces, patch = igl.bfs_orient(np.ascontiguousarray(mesh.faces))
    return Alike(Mesh(mesh.vertices, faces), patch.reshape(-1), _same_turn(mesh.faces, faces))


def turn_alike(mesh: Mesh, outside: np.ndarray | None = None) -> Turned:
    """Return a welded mesh with the faces of each patch turned alike and outward.

    outside : (3,) a direction most of the skin looks toward, where the builder gives one. A closed patch is turned by
    the sign of its volume; an open one by which side has more open space, where that is clear; by the side it bulges
    toward, where nearly all of it can be seen at once from there; else as most of its area was turned in the file.
    """
    alike = turned_alike(mesh)
    made, patch = alike.mesh, alike.patch
    areas, count = mesh.areas_mm2, int(patch.max()) + 1
    kept = np.bincount(patch, areas * np.where(alike.kept, 1, -1), minlength=count)
    verdict = np.where(kept >= 0, 1, -1)
    by = np.full(count, "majority", object)
    closed = _closed(made, patch, count)
    seen = sight(made, patch)
    for number in range(count):
        if closed[number]:
            verdict[number] = 1 if made.submesh(patch == number).volume_mm3 > 0 else -1
            by[number] = "volume"
        elif outside is not None:
            toward = made.area_vectors[patch == number].sum(0) @ np.asarray(outside, float)
            verdict[number], by[number] = (1 if toward > 0 else -1), "direction"
        elif abs(seen[number]) > CLEAR_SIGHT:
            verdict[number], by[number] = (1 if seen[number] > 0 else -1), "sight"
        elif (bulging := bulges(made.submesh(patch == number))) != 0:
            verdict[number], by[number] = bulging, "bulge"
    flipped = verdict[patch] < 0
    faces = np.where(flipped[:, None], made.faces[:, ::-1], made.faces)
    return Turned(Mesh(mesh.vertices, faces), alike.kept == flipped, tuple(by))


def _same_turn(one: np.ndarray, two: np.ndarray) -> np.ndarray:
    """Return which faces, (m,), run round the same corners the same way."""
    rolled = np.stack([np.roll(two, shift, axis=1) for shift in range(3)])
    return (rolled == one).all(2).any(0)


def _closed(mesh: Mesh, patch: np.ndarray, count: int) -> np.ndarray:
    """Return which patches, (count,), have every edge used twice within themselves."""
    edges = number_edges(mesh.faces, len(mesh.vertices)).number
    pairs = np.repeat(patch, 3) * (int(edges.max()) + 1) + edges.reshape(-1)
    unique, uses = np.unique(pairs, return_counts=True)
    odd = np.bincount(unique[uses != 2] // (int(edges.max()) + 1), minlength=count)
    return odd == 0


def bulges(panel: Mesh) -> int:
    """Return 1 where an open skin bulges toward the side its faces look to and nearly all of it can be seen at once
    from there, as a hood's; -1 where both hold of the other side; 0 where that is not plain."""
    edges = number_edges(panel.faces, len(panel.vertices))
    rim = edges.ends[edges.uses == 1]
    if not len(rim):
        return 0
    # The volume between the skin and the middle of its rim, as a height over its area.
    corners = panel.triangles - panel.vertices[rim].mean((0, 1))
    height = float(np.linalg.det(corners).sum() / 6 / panel.areas_mm2.sum()) / float(np.linalg.norm(panel.size))
    if abs(height) < _BULGE:
        return 0
    side = 1 if height > 0 else -1
    return side if _seen_at_once(panel, side) >= _SEEN_AT_ONCE else 0


def _seen_at_once(panel: Mesh, side: int) -> float:
    """Return the part of a skin's area that can be seen from far off in the best direction, from its front (1) or its
    back (-1)."""
    points, faces = sample_surface(panel, _RAYS, _SEED)
    normals = side * panel.normals[faces]
    ways = even_directions(_VIEWS)
    front = (normals @ ways.T) > 0
    # The best few by their faces alone; rays tell what stands in the way.
    best = np.argsort(-front.sum(0))[:8]
    surface, step = MeshDistance(panel), 1e-5 * float(np.linalg.norm(panel.size))
    seen = []
    for way in best:
        hit, _ = surface.first_hit(points + step * normals, np.broadcast_to(ways[way], points.shape))
        seen.append(float((front[:, way] & (hit < 0)).mean()))
    return max(seen)


def sight(mesh: Mesh, patch: np.ndarray) -> np.ndarray:
    """Return how much more each patch of faces, by number (m,), sees of open space in front than behind: from -1 to 1.

    Rays leave its two sides in every direction; those that meet no face of the mesh get away.
    """
    count = int(patch.max()) + 1
    surface = MeshDistance(mesh)
    step = 1e-5 * float(np.linalg.norm(mesh.size))
    rng = np.random.default_rng(_SEED)
    seen = np.zeros(count)
    for number in range(count):
        own = np.flatnonzero(patch == number)
        part = Mesh(mesh.vertices, mesh.faces[own])
        if not part.areas_mm2.any():
            continue
        points, faces = sample_surface(part, _RAYS, _SEED)
        normals = part.normals[faces]
        toward = rng.normal(size=(_RAYS, 3))
        toward /= np.linalg.norm(toward, axis=1, keepdims=True)
        toward *= np.sign(np.einsum("ij,ij->i", toward, normals))[:, None]
        front, _ = surface.first_hit(points + step * normals, toward)
        back, _ = surface.first_hit(points - step * normals, -toward)
        seen[number] = ((front < 0).sum() - (back < 0).sum()) / _RAYS
    return seen
