"""From a block of the body to the wall in it.

Flange material reaches into the next cell where a seam, another seam and the skin meet at an acute angle, and two
openings leave a bar between them below the skin: pieces without skin are left out.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache
from itertools import compress

import numpy as np

from sections.numbers.frame import Plane
from sections.numbers.mesh import Mesh, in_order
from sections.numbers.tolerances import ON_SURFACE
from sections.solids.distance import MeshDistance, corner_normals
from sections.solids.planar import on_plane
from sections.solids.print_solid import PrintSolid
from sections.solids.simplifying import fewer_and_folds, fewer_triangles, without_folds
from sections.wall.depth import DepthRule, even_depth
from sections.wall.levels import Field
from sections.wall.offset_surface import deeper_than
from sections.wall.opening_edges import Cutter, less_collars, pockets, sharp_tips

# mm; the inner face's triangles may be simplified by this much: half of it each smooth surface by itself.
INNER_SIMPLIFY = 0.01
# mm3; what a cut leaves that is smaller than this is rounding, not material.
DUST = 1.0
# mm2; a piece with less of the body's skin than this shows none of it.
_NO_SKIN = 10.0
# mm2; less of a seam than this holds no flange. mm; a face this near to a seam is on it.
_NO_FACE, _ON_SEAM = 1.0, 1e-3
# mm; corners amid an edge that lie off it by no more go: where a tool's far end lies decided where its faces' diagonals
# left some, and a wall came out other than before that looked the same.
_NOTHING_MOVES = 1e-6
# mm; what is taken away is so much larger than what stands there, so that no film is left.
_LARGER = 0.05
# Lattice steps by which each surface of a hollow reaches past where the next one takes over.
_SPARE_PITCHES = 2.0


@dataclass(frozen=True)
class Carved:
    """The wall in one cell.

    pieces : closed meshes, largest first. skins : corners of each piece's skin, (n, 3) mm. skinless : pieces that show
    none of it, as what two openings leave between them below it. hollow : the space inside, as it was cut out (for
    raised labels). dust_mm3 : volume of fragments dropped. filled : number of closed voids filled.
    """

    pieces: tuple[Mesh, ...]
    skins: tuple[np.ndarray, ...]
    skinless: tuple[Mesh, ...]
    hollow: Mesh
    dust_mm3: float
    filled: int


def carve(block: PrintSolid, skin: MeshDistance, rule: DepthRule, pitch: float, openings: list[Cutter]) -> Carved:
    """Return the wall in `block`: the block less its hollow, less the openings, with what is made along their edges.

    block : the body in one cell, its skin untouched. skin : distance to the whole body's skin. rule : how deep
    the material reaches; its seams are those of the cell. pitch : mm, of the whole body's lattice.
    """
    hollow, filled = _hollow(block, skin, rule, pitch)

    @lru_cache
    def deeper(depth: float) -> PrintSolid:
        return _hollow(block, skin, even_depth(depth), pitch)[0]

    hollow = less_collars(hollow, deeper, openings)
    tips = [PrintSolid.hull(corners) for corners in sharp_tips(rule, openings)]
    wall = block.cut([hollow, *pockets(deeper, openings), *tips]).simplified(_NOTHING_MOVES)
    pieces = sorted(wall.pieces(), key=lambda piece: -piece.volume_mm3)
    kept = [in_order(piece.mesh()) for piece in pieces if piece.volume_mm3 > DUST]
    on_skin = [skin.unsigned(mesh.triangles.mean(1)) < ON_SURFACE for mesh in kept]
    shows = [float(mesh.areas_mm2[on].sum()) > _NO_SKIN for mesh, on in zip(kept, on_skin, strict=True)]
    skins = [mesh.vertices[np.unique(mesh.faces[on])] for mesh, on in zip(kept, on_skin, strict=True)]
    dust = sum(piece.volume_mm3 for piece in pieces if piece.volume_mm3 <= DUST)
    skinless = tuple(compress(kept, np.logical_not(shows)))
    return Carved(tuple(compress(kept, shows)), tuple(compress(skins, shows)), skinless, hollow.mesh(), dust, filled)


def grown_body(near: PrintSolid, skin: MeshDistance, by: float, pitch: float) -> PrintSolid:
    """Return the body grown by `by` mm all round, within the bounds of a solid and a little past them. pitch : mm."""
    return _hollow(near, skin, even_depth(-by), pitch)[0]


def _hollow(block: PrintSolid, skin: MeshDistance, rule: DepthRule, pitch: float) -> tuple[PrintSolid, int]:
    """Return (the space deeper below the skin than the rule, voids filled)."""
    levels = rule.levels(_SPARE_PITCHES * pitch)
    spaces = deeper_than([Field(skin, level, rule.at) for level in levels], block, pitch)
    # Folds are rare: they are looked for in the whole, and in what it is made of where it has some.
    hollow, folds = fewer_and_folds(_put_together(spaces, PrintSolid.simplified, block, rule), INNER_SIMPLIFY / 2)
    if folds:
        hollow = without_folds(_put_together(spaces, fewer_triangles, block, rule), INNER_SIMPLIFY / 2)
    return (PrintSolid.empty(), 0) if hollow.is_empty else _without_voids(hollow, rule.seams, pitch)


def _put_together(
    spaces: list[tuple[PrintSolid, PrintSolid]],
    fewer: Callable[[PrintSolid, float], PrintSolid],
    block: PrintSolid,
    rule: DepthRule,
) -> PrintSolid:
    """Return the hollow that spaces, each with the box it was looked for in, make. fewer : leaves each fewer triangles,
    by some mm."""
    (deep, _), *flanges = ((fewer(space, INNER_SIMPLIFY / 2), box) for space, box in spaces)
    if not flanges:
        return deep
    # Deeper than the wall and every back, or than the flanges' height, which is deeper than both.
    (high, _), *backs = flanges
    filled = [box.cut([back]) for back, box in backs]
    hollow = deep.cut(filled).unite([high])
    lumps = left_over(block, deep, hollow, rule.seams)
    return deep.cut([one.cut(lumps) for one in filled]).unite([high]) if lumps else hollow


def left_over(block: PrintSolid, deep: PrintSolid, hollow: PrintSolid, seams: tuple[Plane, ...]) -> list[PrintSolid]:
    """Return what stands deeper than the wall and belongs to no flange, a little larger: it meets no seam of the block,
    as where a recess comes near one. deep : the space below the wall."""
    pieces = block.common(deep).cut([hollow]).pieces()
    lumps = [piece.mesh() for piece in pieces if piece.volume_mm3 > DUST and not _meets(piece, seams)]
    larger = [Mesh(lump.vertices + _LARGER * corner_normals(lump), lump.faces) for lump in lumps]
    return [PrintSolid.of(lump, "lump") for lump in larger]


def _meets(piece: PrintSolid, seams: tuple[Plane, ...]) -> bool:
    mesh = piece.mesh()
    return any(mesh.areas_mm2[on_plane(mesh, plane, _ON_SEAM)].sum() > _NO_FACE for plane in seams)


def _without_voids(hollow: PrintSolid, seams: tuple[Plane, ...], pitch: float) -> tuple[PrintSolid, int]:
    """Return (the hollow less its small closed voids, how many were filled).

    A void is smaller than three lattice steps cubed and meets no seam, so that a neighbour's is not touched.
    """
    pieces = hollow.pieces()
    if len(pieces) < 2:
        return hollow, 0
    kept = [piece for piece in pieces if not _is_void(piece, seams, pitch)]
    if not kept:
        return PrintSolid.empty(), len(pieces)
    return kept[0].unite(kept[1:]), len(pieces) - len(kept)


def _is_void(piece: PrintSolid, seams: tuple[Plane, ...], pitch: float) -> bool:
    if piece.volume_mm3 > (3 * pitch) ** 3:
        return False
    corners = piece.mesh().vertices
    return all(np.abs(plane.distance(corners)).min() > pitch for plane in seams)
