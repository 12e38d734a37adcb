"""Cells: the body taken apart by its seams, each named for good."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from sections.errors import PARAMETERS, BadInput, Problem
from sections.numbers.frame import Plane
from sections.plan.seams import Seam, mirrored_side, seam_kinds
from sections.scan.mirror import RIGHT_HALF
from sections.solids.print_solid import PrintSolid

if TYPE_CHECKING:
    from sections.solids.exact_solid import ExactSolid

# mm; a corner of a block this near a seam lies on it.
ON_PLANE = 1e-5
# mm; a block that reaches no further across the centre plane than this lies on one side of it (the bounds OCC gives of
# an exact block are loose by some 1e-4).
_ACROSS = 1e-3


@dataclass(frozen=True)
class Cell:
    """One cell of the body.

    id : made of the seams it lies beyond, so that moving a seam renames nothing; "BODY" for an uncut one.
    side : R, L, C (across the centre plane) or "" when the body is not symmetric. twin : id of the mirror image,
    or its own.
    seams : (seam, +1 or -1) for every seam that bounds it. sides : (seam's id, +1 or -1) for every cut that parted it
    from others. block : the body inside it, print or exact solid. panel : the one it is of, "" for the body itself.
    """

    id: str
    side: str
    twin: str
    seams: tuple[tuple[Seam, int], ...]
    sides: tuple[tuple[str, int], ...]
    block: PrintSolid | ExactSolid
    panel: str = ""

    @property
    def planes(self) -> tuple[Plane, ...]:
        """The seam planes with the cell on their plus side."""
        return tuple(seam.plane.toward(sign) for seam, sign in self.seams)


@dataclass(frozen=True)
class Panel:
    """A panel that opens: its name, the ids given of the seams that cut it (None: all), the openings it lies in."""

    name: str
    cut_by: tuple[str, ...] | None
    solids: list[PrintSolid] | list[ExactSolid]


def divide_all(
    whole: PrintSolid | ExactSolid,
    seams: tuple[Seam, ...],
    panels: list[Panel],
    *,
    symmetric: bool,
    right_only: bool = False,
) -> tuple[Cell, ...]:
    """Return the cells of the body without its panels, then those of each panel, cut by its own seams alone.

    right_only : of what a seam along the centre plane of a symmetric body cuts, only the right half, which is enough
    where the left is its mirror image.
    """

    def cells(solid: PrintSolid | ExactSolid, its: tuple[Seam, ...]) -> tuple[Cell, ...]:
        if right_only and symmetric and "centre" in seam_kinds(its).values():
            solid = solid.clip([RIGHT_HALF])
        return divide(solid, its, symmetric=symmetric)

    body = tuple(seam for seam in seams if not seam.panel)
    made = list(cells(whole.cut([solid for panel in panels for solid in panel.solids]), body))
    for panel in panels:
        within = whole.common(panel.solids[0])
        within = within.unite([whole.common(solid) for solid in panel.solids[1:]]) if panel.solids[1:] else within
        for cell in cells(within, _own_seams(panel, seams)):
            own, twin = (_of_panel(name, panel.name) for name in (cell.id, cell.twin))
            made.append(replace(cell, panel=panel.name, id=own, twin=twin))
    return tuple(made)


def _own_seams(panel: Panel, seams: tuple[Seam, ...]) -> tuple[Seam, ...]:
    """Return the seams that cut a panel: its own and those it names, wherever they meet it; all of the body's where it
    has and names none."""
    own = [seam for seam in seams if seam.panel == panel.name or seam.given in (panel.cut_by or ())]
    if not own and panel.cut_by is None:
        return tuple(seam for seam in seams if not seam.panel)
    ids = {seam.id for seam in own}
    return tuple(replace(seam, within=tuple(side for side in seam.within if side[1:] in ids)) for seam in own)


def _of_panel(cell: str, panel: str) -> str:
    return f"{panel.upper()}{cell.removeprefix('BODY')}" if cell.startswith("BODY") else f"{cell}-{panel.upper()}"


def divide(skin: PrintSolid | ExactSolid, seams: tuple[Seam, ...], *, symmetric: bool) -> tuple[Cell, ...]:
    """Return the cells that hold any of the body, in the order of the seams. Raises BadInput when two cells
    would have one name."""
    leaves: list[tuple[dict[str, int], PrintSolid | ExactSolid]] = [({}, skin)]
    for seam in seams:
        leaves = [part for leaf in leaves for part in _cut(leaf, seam)]
    by_id = {seam.id: seam for seam in seams}
    kinds = seam_kinds(seams)
    names = [_name(sides, block, by_id, kinds, symmetric=symmetric) for sides, block in leaves]
    _refuse_twice(names, seams)
    cells = []
    for (sides, block), (named, side) in zip(leaves, names, strict=True):
        tokens = named or "BODY"
        corners = block.corners
        touching = tuple((by_id[s], sign) for s, sign in sides.items() if _touches(corners, by_id[s].plane))
        other = {"R": "L", "L": "R"}.get(side, side)
        cells.append(Cell(tokens + side, side, tokens + other, touching, tuple(sides.items()), block))
    return tuple(cells)


def _cut(leaf: tuple[dict[str, int], PrintSolid], seam: Seam) -> list[tuple[dict[str, int], PrintSolid]]:
    """Return the parts of a leaf on either side of a seam that runs through it."""
    sides, block = leaf
    here = {f"{'+' if sign > 0 else '-'}{name}" for name, sign in sides.items()}
    if not set(seam.within) <= here or _on_other_half(block, seam):
        return [leaf]
    plus, minus = block.split(seam.plane)
    parts = [({**sides, seam.id: 1}, plus), ({**sides, seam.id: -1}, minus)]
    return [(named, part) for named, part in parts if part.volume_mm3 > 1.0]


def _on_other_half(block: PrintSolid, seam: Seam) -> bool:
    """Return whether a block lies wholly in the half that a seam of a mirrored pair does not belong to."""
    if seam.id == seam.given:
        return False
    low, high = block.bounds[:, 1]
    return high < _ACROSS if seam.id.endswith("R") else low > -_ACROSS


def _touches(corners: np.ndarray, plane: Plane) -> bool:
    return bool((np.abs(plane.distance(corners)) < ON_PLANE).sum() > 2)


def _name(sides, block, by_id, kinds, *, symmetric: bool) -> tuple[str, str]:
    """Return (tokens, side): the last seam of every family that cut the cell which it lies beyond; R, L, C or "".

    The centre plane of a symmetric body has no token: the side says it.
    """
    side = ""
    if symmetric:
        low, high = block.bounds[:, 1]
        side = "R" if low > -_ACROSS else "L" if high < _ACROSS else "C"
        if side == "L":
            signed = [mirrored_side(f"{'+' if sign > 0 else '-'}{name}", kinds) for name, sign in sides.items()]
            sides = {text[1:]: 1 if text[0] == "+" else -1 for text in signed}
    named = {name: sign for name, sign in sides.items() if kinds[by_id[name].given] != "centre" or not symmetric}
    families = dict.fromkeys(by_id[name].family for name in by_id if name in named)
    return "".join(_token(family, named, by_id) for family in families), side


def _token(family: str, sides: dict[str, int], by_id: dict[str, Seam]) -> str:
    """Return the family's letter with the number of its last seam on whose plus side the cell lies, or 0."""
    beyond = [by_id[name] for name, sign in sides.items() if sign > 0 and by_id[name].family == family]
    if not beyond:
        return f"{family.upper()}0"
    order = list(by_id)
    last = max(beyond, key=lambda seam: (seam.plane.offset, order.index(seam.id)))
    return last.given.upper()


def _refuse_twice(names: list[tuple[str, str]], seams: tuple[Seam, ...]) -> None:
    whole = [tokens + side for tokens, side in names]
    twice = sorted({name for name in whole if whole.count(name) > 1})
    if twice:
        families = sorted({seam.family for seam in seams})
        limit = f"one name for one section; {', '.join(twice)} would be used twice"
        remedy = f"give seams that cross one another different letters (in use: {', '.join(families)})"
        raise BadInput([Problem(PARAMETERS, "seams.planes", "", limit, remedy)])
