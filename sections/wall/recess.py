"""The inner face about a recess: faces of the skin that meet in edges which point inward, as of a lamp let into it.

No height field runs around such an edge. Faces that are plane or round are moved inward as they are, and arcs close the
gap along the edge, as everywhere that lies so deep below it. Flanges are not followed around a recess: their backs
there are no such faces, and between a lamp and a seam that runs along it they are no height field either.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sections.errors import NotExact
from sections.solids.distance import MeshDistance
from sections.solids.face_offset import Face, is_simple, moved_inward, shell_of
from sections.solids.skin_samples import Crease
from sections.solids.tessellate import occ_triangles

# mm; how closely triangles follow a recess that is asked how far off it is.
_FINE = 0.02


@dataclass(frozen=True)
class Recess:
    """What lies `depth` mm below the faces of a recess: surfaces, and how far places are from the faces."""

    surfaces: list[Face]
    skin: MeshDistance
    depth: float

    @staticmethod
    def of(faces: list[Face], depth: float) -> Recess:
        """Return it for faces of a solid that share their edges. Raises NotExact, BuildFailed."""
        return Recess(moved_inward(faces, depth), MeshDistance(occ_triangles(shell_of(faces), _FINE)), depth)

    def hollow(self, points: np.ndarray) -> np.ndarray:
        """Return a number for each of (n, 3) points, positive where the recess leaves the space hollow, mm."""
        return self.skin.unsigned(points) - self.depth


def recesses_of(creases: list[Crease], smooth: float) -> list[list[int]]:
    """Return the numbers of the faces of every recess: faces that hang together by edges that point inward, and by such
    as run on smoothly. creases : with points. smooth : deg, faces that meet at less run on."""
    group: dict[int, int] = {}

    def first(face: int) -> int:
        while group.setdefault(face, face) != face:
            face = group[face]
        return face

    inward = [crease for crease in creases if crease.turn.min() < -smooth]
    on = [crease for crease in creases if np.abs(crease.turn).max() < smooth]
    for crease in (*inward, *on):
        group[first(crease.faces[0])] = first(crease.faces[1])
    sunk = {first(face) for crease in inward for face in crease.faces}
    members: dict[int, list[int]] = {}
    for face in sorted(group):
        if first(face) in sunk:
            members.setdefault(first(face), []).append(face)
    return list(members.values())


def recess_walls(faces: list[Face], recesses: list[list[int]], depth: float) -> list[Recess]:
    """Return what lies `depth` mm below recesses, given by numbers of a body's faces. Raises NotExact where one has a
    face that is neither plane nor round, BuildFailed."""
    for members in recesses:
        if not all(is_simple(faces[number]) for number in members):
            raise NotExact("its skin has an edge that points inward between faces that are not plane or round")
    return [Recess.of([faces[number] for number in members], depth) for members in recesses]
