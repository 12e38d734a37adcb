"""Holes in a mesh closed with new faces, smoothly or flat.

The rim of an island is no hole: a patch would lie over it. It is reported by its area, among faces joined by edges:
joined by corners, a tooth at a ragged rim passed for part of the whole.
"""

from __future__ import annotations

from dataclasses import dataclass

import igl
import numpy as np
from scipy.spatial import Delaunay
from shapely import Polygon, contains_xy

from sections.numbers.halve import number_edges
from sections.numbers.mesh import Mesh, connected, join
from sections.numbers.span import span
from sections.solids.crossing import crossing_faces

# New corners keep this part of an edge's length away from the rim; rings of faces a smooth patch goes on from.
_CLEAR, _RINGS = 0.75, 2
# A patch as large as this part of the surface around it, with less room between the two than this part of its breadth,
# would lie over that surface and close no hole in it.
_BORDER, _THIN = 0.6, 0.05
# Corners of one patch at most: past that the rim is finer than the patch need be.
_MOST_INSIDE = 40_000
# How often the weights of a patch are worked out anew from its own form.
_ROUNDS = 3


@dataclass(frozen=True)
class Patched:
    """A mesh with holes closed. added : (m,) bool, the new faces. closed, left : (k, 3) mm, the middle of each rim
    closed, and of each left open."""

    mesh: Mesh
    added: np.ndarray
    closed: np.ndarray
    left: np.ndarray


def close_holes(mesh: Mesh, most: float, spared: np.ndarray | None = None, *, smooth: bool) -> Patched:
    """Return a welded mesh with every hole of at most `most` mm across closed; no given corner is moved.

    The border of a small surface of its own is no hole in it, and is left; so is a rim with a corner that is `spared`,
    (n,) bool.

    smooth : the patch goes on from the skin around it (biharmonic, the rim and the faces beside it held); else it is
    the flattest one (harmonic), plane where the rim is. New corners lie as densely as those of the rim.
    """
    corners, made, closed, left = [mesh.vertices], [mesh.faces], [], []
    count, around = len(mesh.vertices), _Surroundings(mesh)
    for loop in rim_loops(mesh):
        rim = mesh.vertices[loop]
        if span(rim) > most or (spared is not None and spared[loop].any()):
            left.append(rim.mean(0))
            continue
        inside, faces = _patch(mesh, loop, smooth=smooth)
        local = np.concatenate([loop, count + np.arange(len(inside))])
        if around.is_border(loop, Mesh(np.vstack([rim, inside]), faces)):
            left.append(rim.mean(0))
            continue
        corners.append(inside)
        made.append(local[faces])
        count += len(inside)
        closed.append(rim.mean(0))
    faces = np.vstack(made)
    added = np.arange(len(faces)) >= len(mesh)
    places = (np.array(where).reshape(-1, 3) for where in (closed, left))
    return Patched(Mesh(np.vstack(corners), faces), added, *places)


class _Surroundings:
    """The faces that hang together by edges about each rim."""

    def __init__(self, mesh: Mesh):
        self._mesh = mesh
        edges = number_edges(mesh.faces, len(mesh.vertices))
        _, one, two = edges.between()
        self._patch = connected(np.column_stack([one, two]), len(mesh))
        self._areas = np.bincount(self._patch, mesh.areas_mm2)
        rims = np.flatnonzero(edges.uses == 1)
        faces = edges.first[rims] // 3
        self._face = {tuple(ends): face for ends, face in zip(edges.ends[rims].tolist(), faces.tolist(), strict=True)}

    def is_border(self, loop: np.ndarray, patch: Mesh) -> bool:
        """Return whether a rim is the border of the surface it belongs to, and no hole in it: a patch in it would lie
        over that surface, with next to no room between."""
        number = self._patch[self._face[tuple(sorted(loop[:2].tolist()))]]
        area = self._areas[number]
        if patch.areas_mm2.sum() < _BORDER * area:
            return False
        room = abs(join([self._mesh.submesh(self._patch == number), patch]).volume_mm3) / patch.areas_mm2.sum()
        breadth = 2 * patch.areas_mm2.sum() / _length(patch.vertices[: len(loop)])
        return room < _THIN * breadth


def rim_loops(mesh: Mesh) -> list[np.ndarray]:
    """Return the rims of a welded mesh, each as corners, (k,), in the order a patch in it runs, longest first.

    Rims that meet in a corner are separated by the faces between them. A rim along an edge of three faces or more is
    left out: which of them a patch would belong to is not known.
    """
    split, origin = igl.split_nonmanifold(np.ascontiguousarray(mesh.faces))
    edges = number_edges(mesh.faces, len(mesh.vertices))
    single = edges.uses == 1
    ends = split[:, [[1, 2], [2, 0], [0, 1]]]
    at_rim = single[edges.number]
    split_edges = number_edges(split, len(origin))
    open_ = (split_edges.uses == 1)[split_edges.number]
    starts, stops = ends[open_][:, 1], ends[open_][:, 0]
    plain = at_rim[open_]
    follow = dict(zip(starts.tolist(), zip(stops.tolist(), plain.tolist(), strict=True), strict=True))
    loops = []
    while follow:
        start, (at, all_plain) = follow.popitem()
        loop = [start]
        while at != start:
            loop.append(at)
            at, plain_edge = follow.pop(at)
            all_plain &= plain_edge
        if all_plain:
            loops += _simple(origin[loop].tolist())
    lengths = [-_length(mesh.vertices[loop]) for loop in loops]
    return [loops[i] for i in np.argsort(lengths, kind="stable")]


def _simple(loop: list[int]) -> list[np.ndarray]:
    """Return a loop that comes to a corner more than once as loops that do not; those of two corners left out."""
    made, trail, at = [], [], {}
    for corner in loop:
        if corner in at:
            start = at[corner]
            made.append(trail[start:])
            for gone in trail[start:]:
                del at[gone]
            trail = trail[:start]
        at[corner] = len(trail)
        trail.append(corner)
    return [np.array(one) for one in [*made, trail] if len(one) > 2]


def _length(rim: np.ndarray) -> float:
    return float(np.linalg.norm(rim - np.roll(rim, -1, axis=0), axis=1).sum())


def _patch(mesh: Mesh, loop: np.ndarray, *, smooth: bool) -> tuple[np.ndarray, np.ndarray]:
    """Return (new corners (k, 3), faces (n, 3) over the loop's corners and then the new ones)."""
    rim = mesh.vertices[loop]
    flat, faces = _flat_patch(rim)
    inside = len(flat) - len(rim)
    if not inside:
        return np.empty((0, 3)), faces
    held = np.arange(len(rim))
    form = igl.harmonic(np.column_stack([flat, np.zeros(len(flat))]), faces, held, rim, 1)
    if not smooth:
        for _ in range(_ROUNDS):
            form = igl.harmonic(form, faces, held, rim, 1)
        return form[len(rim) :], faces
    around, ring = _around(mesh, loop)
    corners = flat_form = np.vstack([form, ring])
    both = np.vstack([faces, around + np.where(around >= len(rim), inside, 0)])
    fixed = np.concatenate([held, np.arange(len(form), len(corners))])
    for _ in range(_ROUNDS):
        corners = igl.harmonic(corners, both, fixed, corners[fixed], 2)
    # A jagged rim can lead a smooth patch through itself; a flat one then.
    crossing = len(crossing_faces(Mesh(corners, both), 0.0)) > len(crossing_faces(Mesh(flat_form, both), 0.0))
    return (flat_form if crossing else corners)[len(rim) : len(form)], faces


def _around(mesh: Mesh, loop: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Return (faces in some rings about a rim, over its corners and then the others; those others (k, 3))."""
    near = np.zeros(len(mesh.vertices), bool)
    near[loop] = True
    for _ in range(_RINGS):
        chosen = near[mesh.faces].any(1)
        near[mesh.faces[chosen]] = True
    faces = mesh.faces[chosen]
    others = np.setdiff1d(np.unique(faces), loop)
    number = np.full(len(mesh.vertices), -1)
    number[others] = len(loop) + np.arange(len(others))
    number[loop] = np.arange(len(loop))
    return number[faces], mesh.vertices[others]


def _flat_patch(rim: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Return (flat places (n, 2), the rim's first; faces) of a patch: in the rim's own plane where it lies in it
    without crossing itself, else in a disc."""
    for outline in (_in_plane(rim), _on_circle(rim)):
        if outline is None:
            continue
        made = _triangles(outline)
        if made is not None:
            return made
    outline = _on_circle(rim)
    return outline, _delaunay(outline, Polygon(outline))


def _in_plane(rim: np.ndarray) -> np.ndarray | None:
    _, size, axes = np.linalg.svd(rim - rim.mean(0), full_matrices=False)
    if size[1] < 1e-6 * size[0]:
        return None
    flat = (rim - rim.mean(0)) @ axes[:2].T
    outline = Polygon(flat)
    if not outline.is_valid or outline.area <= 0:
        return None
    return flat if outline.exterior.is_ccw else flat * [1.0, -1.0]


def _on_circle(rim: np.ndarray) -> np.ndarray:
    steps = np.linalg.norm(rim - np.roll(rim, 1, axis=0), axis=1)
    angle = 2 * np.pi * np.cumsum(steps) / steps.sum()
    return _length(rim) / (2 * np.pi) * np.column_stack([np.cos(angle), np.sin(angle)])


def _triangles(outline: np.ndarray) -> tuple[np.ndarray, np.ndarray] | None:
    """Return (the outline's places and new ones inside, faces), or None where an edge of the outline is lost."""
    shape = Polygon(outline)
    step = max(_length(outline) / len(outline), np.sqrt(shape.area / _MOST_INSIDE))
    low, high = outline.min(0), outline.max(0)
    rows = np.arange(low[1], high[1] + step, step * np.sqrt(3) / 2)
    columns = np.arange(low[0], high[0] + step, step)
    grid = [np.column_stack([columns + step / 2 * (n % 2), np.full(len(columns), y)]) for n, y in enumerate(rows)]
    points = np.vstack(grid)
    inner = shape.buffer(-_CLEAR * step)
    points = points[contains_xy(inner, points)] if not inner.is_empty else np.empty((0, 2))
    places = np.vstack([outline, points])
    faces = _delaunay(places, shape)
    used = np.sort(np.vstack([faces[:, [0, 1]], faces[:, [1, 2]], faces[:, [2, 0]]]), axis=1)
    keys = set((used[:, 0] * len(places) + used[:, 1]).tolist())
    ring = np.sort(np.column_stack([np.arange(len(outline)), np.roll(np.arange(len(outline)), -1)]), axis=1)
    whole = set((ring[:, 0] * len(places) + ring[:, 1]).tolist()) <= keys
    disc = len(places) - (len(np.unique(used, axis=0))) + len(faces) == 1
    return (places, faces) if whole and disc else None


def _delaunay(places: np.ndarray, shape: Polygon) -> np.ndarray:
    """Return the triangles over `places` that lie in a shape, anticlockwise."""
    faces = Delaunay(places).simplices.astype(np.int64)
    corners = places[faces]
    faces = faces[contains_xy(shape, corners.mean(1))]
    one, two = places[faces[:, 1]] - places[faces[:, 0]], places[faces[:, 2]] - places[faces[:, 0]]
    clockwise = one[:, 0] * two[:, 1] - one[:, 1] * two[:, 0] < 0
    return np.where(clockwise[:, None], faces[:, ::-1], faces)
