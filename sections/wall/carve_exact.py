"""The wall of one cell as an exact solid: the block less a hollow bounded by fitted offsets of its skin.

OCC's general splitter parts a block by six fitted faces in 1 to 2 s; by the eleven of two groups at once it took
minutes, so groups are taken one after another. Making the hollow's parted faces one first also took minutes. What OCC
makes of fitted faces that meet in one point depends on the order it is given them (`ORDERS`): each order is tried
until the wall agrees with the print solid.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from sections.errors import NotExact
from sections.solids.brep_parts import boundary_of, points_below_faces, unified
from sections.solids.exact_solid import ExactSolid
from sections.solids.facets import faceted
from sections.solids.print_solid import PrintSolid
from sections.solids.spline_face import spline_face
from sections.wall.offset_fields import OffsetGroup
from sections.wall.opening_edges import Cutter, less_collars, pockets
from sections.wall.recess import Recess

# What bounds a hollow: the fitted surfaces of one smooth group of the skin, or what lies below a recess.
InnerFace = OffsetGroup | Recess

# mm; how far below its faces a piece is asked whether it is hollow. Nearer, a fitted face's own error would tell.
_ASK_BELOW = 0.3


@dataclass(frozen=True)
class CutOrder:
    """In which order OCC gets what it cuts with: the groups, and the surfaces of each, as they are or turned round.

    Where several fitted faces meet in one point it fails in one order and not in another.
    """

    groups: bool
    fields: bool


ORDERS = (CutOrder(False, False), CutOrder(False, True), CutOrder(True, False), CutOrder(True, True))


def carve_exact(
    block: ExactSolid,
    groups: Sequence[InnerFace],
    order: CutOrder = ORDERS[0],
    cutters: list[Cutter[ExactSolid]] | None = None,
    deeper: Callable[[float, CutOrder], ExactSolid] | None = None,
    tips: Iterable[np.ndarray] = (),
) -> ExactSolid:
    """Return the wall in an exact block, less the openings, with what is made along their edges.

    deeper : the space deeper below the skin than so many mm; needed where openings have collars. tips : corners of
    convex solids to be cut besides. Raises NotExact, BuildFailed.
    """
    cutters, blunt = cutters or [], [faceted(PrintSolid.hull(corners), 0.0) for corners in tips]
    if all(cutter.collar is None for cutter in cutters):
        return _plain(block, groups, order).cut([*(cutter.solid for cutter in cutters), *blunt])
    at_depth = lru_cache(lambda depth: deeper(depth, order))
    hollow = less_collars(hollow_exact(block, groups, order), at_depth, cutters)
    wall = ExactSolid(unified(block.cut([hollow, *pockets(at_depth, cutters), *blunt]).shape))
    if not wall.pieces():
        raise NotExact("nothing is left of its wall")
    return wall


def _plain(block: ExactSolid, groups: Sequence[InnerFace], order: CutOrder) -> ExactSolid:
    """Return the wall in an exact block."""
    if len(groups) == 1:
        # What is left shares its faces with the hollow already; there is nothing to cut again.
        kept = [piece.shape for piece in _parted(block, groups[0], order) if not _is_hollow(piece, groups[0])]
        return ExactSolid(unified(boundary_of(kept)))
    hollow = hollow_exact(block, groups, order)
    if not hollow.pieces():
        return block
    wall = ExactSolid(unified(block.cut([hollow]).shape))
    if not wall.pieces():
        raise NotExact("nothing is left of its wall")
    return wall


def hollow_exact(block: ExactSolid, groups: Sequence[InnerFace], order: CutOrder = ORDERS[0]) -> ExactSolid:
    """Return the hollow of an exact block: what every group leaves hollow; a solid without volume where there is none.

    It is parted by one group's surfaces after another, and only its own pieces are kept. Its parted faces are left so:
    OCC took minutes to make them one where thin strips ran along a crease. Raises NotExact, BuildFailed.
    """
    hollow = block
    for group in _in_turn(groups, backward=order.groups):
        kept = [piece.shape for piece in _parted(hollow, group, order) if _is_hollow(piece, group)]
        if not kept:
            return ExactSolid.of([])
        hollow = ExactSolid(boundary_of(kept))
    return hollow


def _parted(solid: ExactSolid, group: InnerFace, order: CutOrder) -> list[ExactSolid]:
    surfaces = group.surfaces if isinstance(group, Recess) else [spline_face(field) for field in group.fields]
    return solid.parted(_in_turn(surfaces, backward=order.fields))


def _in_turn(things: Sequence, *, backward: bool) -> list:
    return list(things[::-1] if backward else things)


def _is_hollow(piece: ExactSolid, group: InnerFace) -> bool:
    asked = group.hollow(points_below_faces(piece.shape, _ASK_BELOW))
    return bool(np.clip(asked, -1.0, 1.0).sum() > 0)
