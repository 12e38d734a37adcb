"""Where two sections meet: their faces on a common seam, laid over one another."""

from __future__ import annotations

from dataclasses import dataclass

import shapely
from shapely import MultiPolygon

from sections.numbers.mesh import Mesh
from sections.plan.seams import Seam
from sections.solids.planar import as_multipolygon, face_on_plane

# mm2; two sections that share less than this touch, but are not joined; nor are those that share less than four times
# as much where less than this is as wide as that, mm.
_LEAST_SHARED, _LEAST_WIDE = 30.0, 2.0
# mm2; less in common is rounding.
_TOUCH = 1.0


@dataclass(frozen=True)
class Interface:
    """The common face of two sections on one seam.

    minus, plus : ids of the sections on either side of the seam's normal. outline : in the x, y of the seam
    plane's frame, mm.
    """

    seam: Seam
    minus: str
    plus: str
    outline: MultiPolygon


def faces_on_seams(mesh: Mesh, seams: list[tuple[Seam, int]]) -> dict[str, MultiPolygon]:
    """Return a section's face on each seam that bounds it, by seam id, in the seam plane's frame."""
    faces = {seam.id: face_on_plane(mesh, seam.plane, seam.plane.frame()) for seam, _ in seams}
    return {name: face for name, face in faces.items() if not face.is_empty}


@dataclass(frozen=True)
class Contacts:
    """Where sections meet. joined : the faces they share. touching : those too small for any joint."""

    joined: list[Interface]
    touching: list[Interface]


def contacts(
    faces: dict[str, dict[str, MultiPolygon]], sides: dict[str, dict[str, int]], seams: dict[str, Seam]
) -> Contacts:
    """Return every two sections that share a face, and those that only touch.

    faces : by section id, then seam id. sides : by section id, then seam id, +1 or -1: which side of the seam
    it lies on.
    """
    found = Contacts([], [])
    for seam_id, seam in seams.items():
        here = [(name, on[seam_id]) for name, on in faces.items() if seam_id in on]
        minus = [(name, face) for name, face in here if sides[name][seam_id] < 0]
        plus = [(name, face) for name, face in here if sides[name][seam_id] > 0]
        if not minus or not plus:
            continue
        tree = shapely.STRtree([face for _, face in plus])
        for name, face in minus:
            for index in sorted(tree.query(face, predicate="intersects")):
                other, other_face = plus[index]
                shared = as_multipolygon(shapely.intersection(face, other_face))
                if shared.area >= _TOUCH:
                    kind = found.joined if _joins(shared) else found.touching
                    kind.append(Interface(seam, name, other, shared))
    return found


def _joins(shared: MultiPolygon) -> bool:
    """Return whether what two sections share, mm, is more than a touch."""
    broad = shared.buffer(-_LEAST_WIDE / 2).buffer(_LEAST_WIDE / 2)
    return shared.area >= (_LEAST_SHARED if broad.area >= _LEAST_SHARED else 4 * _LEAST_SHARED)
