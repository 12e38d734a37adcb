"""Openings as they are cut from a wall, and what is made along their edges: the same for print and exact solids."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING, Generic, TypeVar

import numpy as np

from sections.wall.blunt import blunt_tips
from sections.wall.depth import DepthRule

if TYPE_CHECKING:
    from sections.solids.exact_solid import ExactSolid  # noqa: F401
    from sections.solids.print_solid import PrintSolid  # noqa: F401

# By name: what works on print solids alone must not wait for OCC.
Solid = TypeVar("Solid", "PrintSolid", "ExactSolid")


@dataclass(frozen=True)
class Collar(Generic[Solid]):
    """Material to `depth` mm below the skin within `around`. floor : mm; of a rebate: only so deep is all the opening
    cut away, deeper only `hole`."""

    depth: float
    around: Solid
    floor: float | None = None
    hole: Solid | None = None


@dataclass(frozen=True)
class Cutter(Generic[Solid]):
    """One opening: what is cut, and the collar along its edge."""

    id: str
    solid: Solid
    collar: Collar[Solid] | None = None


def less_collars(hollow: Solid, deeper: Callable[[float], Solid], cutters: list[Cutter[Solid]]) -> Solid:
    """Return a hollow less what stands in it along the edges of openings. deeper : the space deeper than so many mm."""
    collars = [cutter.collar for cutter in cutters if cutter.collar is not None]
    return hollow.cut([collar.around.cut([deeper(collar.depth)]) for collar in collars])


def pockets(deeper: Callable[[float], Solid], cutters: list[Cutter[Solid]]) -> list[Solid]:
    """Return all that is cut from a wall for its openings. deeper : what lies deeper than so many mm below the skin."""
    cut = []
    for cutter in cutters:
        if cutter.collar is None or cutter.collar.floor is None:
            cut.append(cutter.solid)
        else:
            cut += [cutter.solid.cut([deeper(cutter.collar.floor)]), cutter.collar.hole]
    return cut


def sharp_tips(rule: DepthRule, cutters: list[Cutter[PrintSolid]]) -> list[np.ndarray]:
    """Return what is cut from a cell's wall where a seam leaves an opening at a small angle: corners of convex solids,
    (n, 3) mm. Taken from print solids, for both."""
    cut = [cutter.solid for cutter in cutters]
    cut += [cutter.collar.hole for cutter in cutters if cutter.collar is not None and cutter.collar.hole is not None]
    return [tip for solid in cut for tip in blunt_tips(rule.seams, solid.mesh(), rule.edge)]
