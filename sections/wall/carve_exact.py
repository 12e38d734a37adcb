"""The wall of one cell as an exact solid: the block less a hollow bounded by fitted offsets of its skin."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sections.errors import NotExact
from sections.solids.exact_solid import ExactSolid
from sections.solids.explore import boundary_of, points_below_faces, unified
from sections.solids.spline_face import spline_face
from sections.wall.offset_fields import OffsetGroup

# mm; how far below its faces a piece is asked whether it is hollow. Nearer, a fitted face's own error would tell.
_ASK_BELOW = 0.3


@dataclass(frozen=True)
class Order:
    """In which order OCC gets what it cuts with: the groups, and the surfaces of each, as they are or turned round.

    Where several fitted faces meet in one point it fails in one order and not in another.
    """

    groups: bool
    fields: bool


ORDERS = (Order(False, False), Order(False, True), Order(True, False), Order(True, True))


def carve_exact(block: ExactSolid, groups: list[OffsetGroup], order: Order = ORDERS[0]) -> ExactSolid:
    """Return the wall in an exact block.

    The hollow is what every group leaves hollow: it is parted by one group's surfaces after another, and only its own
    pieces are kept. Raises NotExact, BuildFailed.
    """
    hollow = block
    for group in _turned(groups, order.groups):
        pieces = hollow.parted([spline_face(field) for field in _turned(group.fields, order.fields)])
        kept = [piece.shape for piece in pieces if _is_hollow(piece, group)]
        if not kept:
            return block
        if len(groups) > 1:
            # Its parted faces are left so: OCC took minutes to make them one where thin strips ran along a crease.
            hollow = ExactSolid(boundary_of(kept))
    if len(groups) == 1:
        # What is left shares its faces with the hollow already; there is nothing to cut again.
        return ExactSolid(unified(boundary_of([piece.shape for piece in pieces if not _is_hollow(piece, group)])))
    wall = ExactSolid(unified(block.cut([hollow]).shape))
    if not wall.pieces():
        raise NotExact("nothing is left of its wall")
    return wall


def _turned(things: list, turned: bool) -> list:
    return things[::-1] if turned else things


def _is_hollow(piece: ExactSolid, group: OffsetGroup) -> bool:
    asked = group.hollow(points_below_faces(piece.shape, _ASK_BELOW))
    return bool(np.clip(asked, -1.0, 1.0).sum() > 0)
