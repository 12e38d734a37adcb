"""The outer envelope of surfaces that pass through themselves or one another."""

from __future__ import annotations

from dataclasses import dataclass

import igl.copyleft.cgal as exact
import numpy as np

from sections.numbers.halve import number_edges
from sections.numbers.mesh import Mesh, near_made_one, not_collapsed, shell_numbers
from sections.numbers.rows import unique_rows
from sections.solids.duplicates import without_duplicates
from sections.solids.orienting import turned_alike
from sections.solids.soundness import edge_flaws
from sections.solids.winding import WindingNumbers

# Half the way between outside (0) and inside (1): holes make the winding number anything between.
_HALF = 0.5
# Parts of the diagonal within which corners may have been parted by rounding: 5e-7 mm to 0.005 mm of 5 m; and before
# anything is cut, as in a file of 32-bit numbers: 5e-5 mm and 5e-4 mm of 5 m.
_CRACKS, _ROUNDED = (1e-10, 1e-9, 1e-8, 1e-7, 1e-6), (1e-8, 1e-7)
# Steps off a face, as a part of the diagonal.
_STEP = 1e-6
# The part of a patch's area that must agree for it to be judged as one; faces of a patch too small to be judged singly.
_AGREED, _FEW = 0.9, 8
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
    hollows inside are left out. Nothing is moved; but where edges of what comes out have faults, corners that rounding
    has parted are made one and it is tried again.
    """
    made = first = _envelope(mesh)
    for part in _ROUNDED:
        if not edge_flaws(made.mesh):
            return made
        near = near_made_one(mesh, part * float(np.linalg.norm(mesh.size)))
        if len(near.vertices) == len(mesh.vertices):
            continue
        whole = np.flatnonzero(not_collapsed(near.faces))
        made = _envelope(near.submesh(whole))
        made = Envelope(made.mesh, whole[made.born])
    return first if edge_flaws(made.mesh) else made


def _envelope(mesh: Mesh) -> Envelope:
    """Return the outer envelope of a mesh, its corners as they are."""
    vertices, faces, _, born, _ = exact.remesh_self_intersections(
        np.ascontiguousarray(mesh.vertices), np.ascontiguousarray(mesh.faces), stitch_all=True, cutoff=_NO_LIMIT
    )
    first, group = unique_rows(vertices)
    faces, vertices = group[faces], vertices[first]
    whole = not_collapsed(faces)
    _, one = np.unique(np.sort(faces[whole], axis=1), axis=0, return_index=True)
    chosen = np.flatnonzero(whole)[np.sort(one)]
    cut, born = Mesh(vertices, faces[chosen]), born.reshape(-1)[chosen]
    verdict = _verdicts(mesh, cut)
    faces = np.where((verdict < 0)[:, None], cut.faces[:, ::-1], cut.faces)
    kept = np.flatnonzero(verdict)
    made, born = Mesh(cut.vertices, faces[kept]).compact(), born[kept]
    outer = _not_hollow(made)
    return _uncracked(Envelope(made.submesh(outer), born[outer]))


def _uncracked(envelope: Envelope) -> Envelope:
    """Return the envelope with corners that rounding has parted made one: within the least of some very small distances
    that leaves no faults of its edges; as it is where none does."""
    mesh, born = envelope.mesh, envelope.born
    if not edge_flaws(mesh):
        return envelope
    for part in _CRACKS:
        first, group = unique_rows(np.round(mesh.vertices / (part * np.linalg.norm(mesh.size))).astype(np.int64))
        faces = group[mesh.faces]
        whole = not_collapsed(faces)
        made = Mesh(mesh.vertices[first], faces[whole])
        stays = without_duplicates(made)
        if not edge_flaws(made.submesh(stays)):
            return Envelope(made.submesh(stays), born[whole][stays])
    return envelope


def _verdicts(mesh: Mesh, cut: Mesh) -> np.ndarray:
    """Return what becomes of each face, (m,): 1 it stays, -1 it is turned, 0 it goes.

    One verdict for a patch, unless its faces do not agree, as where a hole lets a patch run on from outside to inside.
    """
    centres, areas = cut.triangles.mean(1), cut.areas_mm2
    step = _STEP * float(np.linalg.norm(mesh.size)) * cut.normals
    winding = WindingNumbers(mesh)
    front, behind = (winding.at(points) for points in (centres + step, centres - step))
    alike = turned_alike(cut)
    patch, turn = alike.patch, np.where(alike.kept, 1, -1)
    own = turn * _verdict(front, behind)
    weight = np.maximum(np.bincount(patch, areas), 1e-300)
    shares = np.array([np.bincount(patch, areas * (own == kind)) / weight for kind in (-1, 0, 1)])
    clear = shares.max(0) >= _AGREED
    one, other = (np.where(turn > 0, *sides) for sides in ((front, behind), (behind, front)))
    mean = _verdict(*(np.bincount(patch, areas * side) / weight for side in (one, other)))
    whole = np.where(clear, shares.argmax(0) - 1, mean)
    # Without holes a patch has one side out or none. Patches of a few faces hold too little skin to be judged singly.
    by_patch = clear | (np.bincount(patch) <= _FEW) | (number_edges(mesh.faces, len(mesh.vertices)).uses != 1).all()
    return turn * np.where(by_patch[patch], whole[patch], own)


def _verdict(front: np.ndarray, behind: np.ndarray) -> np.ndarray:
    """Return 1 where outside lies in front and inside behind, -1 where it is the other way round, else 0."""
    return ((front < _HALF) & (behind > _HALF)).astype(int) - ((front > _HALF) & (behind < _HALF))


def _not_hollow(mesh: Mesh) -> np.ndarray:
    """Return which faces, (m,), are not of a closed surface that looks inward."""
    number = shell_numbers(mesh)
    open_ = np.zeros(int(number.max()) + 1 if len(mesh) else 0, bool)
    edges = number_edges(mesh.faces, len(mesh.vertices))
    open_[number[edges.first[edges.uses == 1] // 3]] = True
    hollow = [n for n in np.flatnonzero(~open_) if mesh.submesh(number == n).volume_mm3 < 0]
    return ~np.isin(number, hollow)
