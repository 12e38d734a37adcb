"""The outer envelope of surfaces that pass through themselves or one another."""

from __future__ import annotations

from dataclasses import dataclass

import igl
import igl.copyleft.cgal as exact
import numpy as np

from sections.numbers.halve import number_edges
from sections.numbers.mesh import Mesh, shell_numbers
from sections.numbers.rows import unique_rows

# Half the way between outside (0) and inside (1): holes make the winding number anything between.
_HALF = 0.5
# Steps off a face, as a part of the diagonal.
_STEP = 1e-6
_NO_LIMIT = 2**31 - 1


@dataclass(frozen=True)
class Envelope:
    """What is left. mesh : the outer faces, cut where they cross. born : (m,) the face of the given mesh each was
    part of."""

    mesh: Mesh
    born: np.ndarray


def outer_envelope(mesh: Mesh) -> Envelope:
    """Return the faces of a welded mesh that part outside from inside, as cut by one another.

    Faces are cut exactly where they meet (CGAL's arrangement, through libigl). Of each patch between cuts the
    generalised winding number of the given mesh on its two sides decides (Jacobson, Kavan and Sorkine-Hornung, ACM
    TOG 32(4), 2013): it stays where one side is outside and the other inside, and is turned to look outward. Closed
    hollows inside are left out. Nothing is moved.
    """
    vertices, faces, _, born, _ = exact.remesh_self_intersections(
        np.ascontiguousarray(mesh.vertices), np.ascontiguousarray(mesh.faces), stitch_all=True, cutoff=_NO_LIMIT
    )
    first, group = unique_rows(vertices)
    faces, vertices = group[faces], vertices[first]
    whole = (faces[:, 0] != faces[:, 1]) & (faces[:, 1] != faces[:, 2]) & (faces[:, 2] != faces[:, 0])
    _, one = np.unique(np.sort(faces[whole], axis=1), axis=0, return_index=True)
    chosen = np.flatnonzero(whole)[np.sort(one)]
    cut, born = Mesh(vertices, faces[chosen]), born.reshape(-1)[chosen]
    front, behind = _sides(mesh, cut)
    stays = (front < _HALF) & (behind > _HALF)
    turns = (front > _HALF) & (behind < _HALF)
    faces = np.where(turns[:, None], cut.faces[:, ::-1], cut.faces)
    kept = np.flatnonzero(stays | turns)
    made, born = Mesh(cut.vertices, faces[kept]).compact(), born[kept]
    outer = _not_hollow(made)
    return Envelope(made.submesh(outer), born[outer])


def _sides(mesh: Mesh, cut: Mesh) -> tuple[np.ndarray, np.ndarray]:
    """Return the winding number of `mesh` in front of and behind each face of `cut`, (m,) each, one for a patch."""
    centres, normals, areas = cut.triangles.mean(1), cut.normals, cut.areas_mm2
    step = _STEP * float(np.linalg.norm(mesh.size)) * normals
    hierarchy = igl.FastWindingNumberBVH()
    hierarchy.init(mesh.vertices, mesh.faces)
    sides = [hierarchy.winding_number(np.ascontiguousarray(at)).reshape(-1) for at in (centres + step, centres - step)]
    patch, turn = _patches(cut)
    front = np.where(turn > 0, sides[0], sides[1])
    behind = np.where(turn > 0, sides[1], sides[0])
    weight = np.maximum(np.bincount(patch, areas), 1e-300)
    front, behind = (np.bincount(patch, areas * side)[patch] / weight[patch] for side in (front, behind))
    return np.where(turn > 0, front, behind), np.where(turn > 0, behind, front)


def _patches(mesh: Mesh) -> tuple[np.ndarray, np.ndarray]:
    """Return (the patch of each face, whether it is turned as its patch is: 1 or -1): faces joined by edges of two."""
    alike, patch = igl.bfs_orient(np.ascontiguousarray(mesh.faces))
    same = np.stack([np.roll(alike, shift, axis=1) == mesh.faces for shift in range(3)]).all(2).any(0)
    return patch.reshape(-1), np.where(same, 1, -1)


def _not_hollow(mesh: Mesh) -> np.ndarray:
    """Return which faces, (m,), are not of a closed surface that looks inward."""
    number = shell_numbers(mesh)
    open_ = np.zeros(int(number.max()) + 1 if len(mesh) else 0, bool)
    edges = number_edges(mesh.faces, len(mesh.vertices))
    open_[number[edges.first[edges.uses == 1] // 3]] = True
    hollow = [n for n in np.flatnonzero(~open_) if mesh.submesh(number == n).volume_mm3 < 0]
    return ~np.isin(number, hollow)
