"""Half a body made whole: trimmed at the centre plane, mirrored, joined without a wall between.

A noisy half has slivers along the cut; the angle at its centre line is taken from the faces about each edge.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.spatial import cKDTree

from sections.errors import BadInput, Problem
from sections.numbers.halve import number_edges
from sections.numbers.mesh import Mesh, weld_exact
from sections.scan.mirror import RIGHT_HALF, mirrored_whole
from sections.scan.surfaces import Rims
from sections.settings.scan import HalfTable
from sections.solids.trimming import trimmed

# mm; corners this near the centre plane are drawn onto it before it is cut, so that no slivers come of the cut.
_SNAP = 0.02


@dataclass(frozen=True)
class CentreLine:
    """What the skin does along y = 0.

    length : mm. median, most : deg, the angle the two halves turn through there. at : where it turns most.
    """

    length: float
    median: float
    most: float
    at: np.ndarray


@dataclass(frozen=True)
class MadeWhole:
    """A body made whole. drawn : mm, the most a rim was drawn sideways onto y = 0. moved : mm, the most skin was moved
    by fairing. before, after : the centre line as mirrored, and after fairing."""

    mesh: Mesh
    drawn: float
    moved: float
    before: CentreLine
    after: CentreLine


def whole_of_half(mesh: Mesh, half: HalfTable, crease: float, most: float, what: str) -> MadeWhole:
    """Return the half of a welded mesh on one side of y = 0 and its mirror image as one skin.

    crease : deg, where they turn through more than that they are left as they are. most : mm, nothing is moved further.
    Raises BadInput when no skin reaches the centre plane.
    """
    given = on_the_right(mesh, half)
    drawn = np.abs(given.vertices[:, 1]) < _SNAP
    drawn |= _near_rim(given, half.reach)
    vertices = given.vertices.copy()
    vertices[drawn, 1] = 0.0
    right = trimmed(weld_exact(Mesh(vertices, given.faces)), RIGHT_HALF) if len(given) else given
    before = centre_line(right) if len(right) else None
    if before is None:
        limit = f"skin on the {half.side} that reaches y = 0 within half.reach, {half.reach:g} mm"
        remedy = "look at side and datum, or allow more reach"
        raise BadInput([Problem(what, "half", half.side, limit, remedy)])
    faired = _faired(right, half.blend, crease, most) if half.blend else right
    moved = float(np.linalg.norm(faired.vertices - right.vertices, axis=1).max())
    reached = float(np.abs(given.vertices[drawn, 1]).max(initial=0.0))
    return MadeWhole(mirrored_whole(faired), reached, moved, before, centre_line(faired))


def on_the_right(mesh: Mesh, half: HalfTable) -> Mesh:
    """Return a mesh with the half that is kept on the right: as it is, or mirrored in y = 0."""
    return mesh if half.side == "right" else mesh.mirrored_y()


def _near_rim(mesh: Mesh, reach: float) -> np.ndarray:
    """Return which corners, (n,), are on rim edges that lie within `reach` of y = 0 from end to end."""
    ends = Rims.of(mesh).ends
    near = (np.abs(mesh.vertices[ends, 1]) <= reach).all(1)
    found = np.zeros(len(mesh.vertices), bool)
    found[ends[near]] = True
    return found


def _on_centre(mesh: Mesh) -> tuple[np.ndarray, np.ndarray]:
    """Return (edges (k, 2) of a right half that lie on y = 0, the skin's unit normal (k, 3) at each).

    The normal is the mean over the faces about the edge's ends by area: slivers left by the cut have none of their own.
    """
    right = mesh.submesh((mesh.vertices[:, 1] > 0)[mesh.faces].any(1))
    edges = number_edges(right.faces, len(right.vertices))
    ends = edges.ends[(edges.uses == 1) & (right.vertices[edges.ends, 1] == 0).all(1)]
    about = np.column_stack(
        [
            np.bincount(right.faces.reshape(-1), np.repeat(column, 3), len(right.vertices))
            for column in right.area_vectors.T
        ]
    )
    normals = about[ends].sum(1)
    return right.vertices[ends], normals / np.maximum(np.linalg.norm(normals, axis=1, keepdims=True), 1e-300)


def centre_line(right: Mesh) -> CentreLine | None:
    """Return the centre line of a right half; None when none of it reaches y = 0."""
    ends, normals = _on_centre(right)
    if not len(ends):
        return None
    lengths, turn = np.linalg.norm(ends[:, 0] - ends[:, 1], axis=1), _turn(normals)
    order = np.argsort(turn)
    middle = order[np.searchsorted(np.cumsum(lengths[order]), lengths.sum() / 2)]
    worst = order[-1]
    return CentreLine(float(lengths.sum()), float(turn[middle]), float(turn[worst]), ends[worst].mean(0))


def _turn(normals: np.ndarray) -> np.ndarray:
    """Return the angle, (k,) deg, between a skin with these normals and its mirror image."""
    return 2 * np.degrees(np.arcsin(np.abs(normals[:, 1]).clip(0, 1)))


def _faired(right: Mesh, width: float, crease: float, most: float) -> Mesh:
    """Return a right half that leaves y = 0 squarely: corners moved within `width` of it, most at a third of that.

    A corner at y moves by s y (1 - y / width)^2 along the skin's normal at the centre line, s the slope the skin has
    there: at y = 0 its slope is taken away, at `width` place and slope are kept. At most 4/27 s width.
    """
    ends, normals = _on_centre(right)
    plain = _turn(normals) < crease
    if not plain.any():
        return right
    ends, normals = ends[plain], normals[plain]
    middles, lengths = ends.mean(1), np.linalg.norm(ends[:, 0] - ends[:, 1], axis=1)
    slope = normals[:, 1] / np.hypot(normals[:, 0], normals[:, 2])
    flat = normals * [1.0, 0.0, 1.0]
    flat /= np.linalg.norm(flat, axis=1, keepdims=True)
    y = right.vertices[:, 1]
    near = np.flatnonzero((y > 0) & (y < width))
    # The mean over the nearest edges along the line, so that noise of single faces is not followed.
    count = min(len(middles), max(1, int(np.ceil(width / np.median(lengths)))))
    tree = cKDTree(middles[:, [0, 2]])
    gap, which = tree.query(right.vertices[near][:, [0, 2]], k=count)
    which, gap = which.reshape(len(near), count), gap.reshape(len(near), count)
    weight = lengths[which]
    slopes = (slope[which] * weight).sum(1) / weight.sum(1)
    toward = (flat[which] * weight[..., None]).sum(1)
    toward /= np.maximum(np.linalg.norm(toward, axis=1, keepdims=True), 1e-300)
    # The nearest centre line is the one this skin runs to: other skin at the same y lies farther off.
    beside = gap[:, 0] < width
    away = y[near]
    move = np.where(beside, slopes * away * (1 - away / width) ** 2, 0.0).clip(-most, most)
    vertices = right.vertices.copy()
    vertices[near] += move[:, None] * toward
    return Mesh(vertices, right.faces)
