"""The foot of a section, made around it as it is printed.

A foot that follows its section closely grows into what leans above it, and its parts over a ledge float or lock it
in: a check that looked at the foot's box found neither.
"""

from __future__ import annotations

from functools import cache

import numpy as np
import shapely

from sections.building.settle import settle
from sections.errors import BuildFailed
from sections.numbers.frame import Frame
from sections.numbers.mesh import NO_GROWTH, Growth, Mesh
from sections.plan.foot import Foot
from sections.solids.print_solid import PrintSolid

# mm; a foot is made in such steps. What lies in the step above or below is kept off as well, unless it leans by so
# little and what is made so keeps off by this part of its gap.
_STEP, _LEANS, _APART = 0.2, 0.15, 0.6
# mm; a line so near to the section's holds on to it.
_NEAR = 0.1
# mm2; a foot holds on by its lowest layers, so many that they stand along so much of the section: above them it only
# stands close.
_HOLDS = 80.0
# mm; outlines are made simpler by so much, and lie on a grid. Strips this narrow are rounding.
_SIMPLE, _GRID = 0.005, 0.001
_SLIVER = 0.002
# A wedge is so wide at its top, mm, and wider by 45 deg below.
_TOP = 1.6
_LEVEL = Frame((0.0, 0.0, 0.0), (1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0))


def make_foot(printed: Mesh, foot: Foot, growth: Growth, what: str) -> Mesh:
    """Return a section's foot in print coordinates: closed, `foot.gap` mm off the section in its lowest layers and
    `foot.clear` above.

    printed : the section in print coordinates. growth : by what the file is larger than the section.
    """
    steps = _Steps.of(PrintSolid.of(printed, what), max(foot.plate, foot.wedge) + foot.gap)
    plate = shapely.Polygon(np.array(foot.outline) * np.array(growth[:2]))
    for leans in (_LEANS, 0.0):
        slabs = _slabs(steps, plate, foot, leans)
        if not slabs:
            raise BuildFailed(f"{what}: no room for its foot beside it")
        made = slabs[0].unite(slabs[1:])
        if made.gap_to(steps.solid, foot.gap) > _APART * foot.gap:
            break
    return settle(made, _LEVEL, NO_GROWTH, f"the foot of {what}")


class _Steps:
    """The lowest part of a section, as it is printed, in the steps its foot is made in; each is looked at once.

    solid : that part, a little higher than asked for.
    """

    def __init__(self, solid: PrintSolid, base: float):
        self.solid = solid
        self.base = base
        self.outline = cache(self._outline)

    @staticmethod
    def of(solid: PrintSolid, height: float) -> _Steps:
        """Return the steps of a section's lowest part, so high, mm."""
        low, high = solid.bounds
        box = PrintSolid.box(low - 1.0, [*(high[:2] + 1.0), low[2] + height + 2 * _STEP])
        return _Steps(solid.common(box), float(low[2]))

    def between(self, number: int) -> tuple[float, float]:
        """Return the heights, mm, a step lies between, counted from the bed up."""
        return self.base + number * _STEP, self.base + (number + 1) * _STEP

    def _outline(self, number: int) -> shapely.Geometry:
        """Return the outline, seen from above, of what of the section lies in a step."""
        low, high = self.between(number)
        bounds = self.solid.bounds
        slab = PrintSolid.box([*(bounds[0, :2] - 1.0), low], [*(bounds[1, :2] + 1.0), high])
        return _sound(self.solid.common(slab).shadow(_LEVEL))

    def kept_off(self, number: int, leans: float) -> shapely.Geometry:
        """Return the outline of what a foot keeps off in a step: what of the section lies there, and what lies in the
        steps above and below, unless it leans by so little, mm, that it is as far off all the same."""
        kept = beside = self.outline(number)
        for other in (self.outline(number + 1), self.outline(number - 1)):
            past = _sound(other - beside.buffer(leans)).buffer(-_SLIVER).buffer(2 * leans + _SLIVER)
            kept = _sound(kept | _sound(past & other))
        return kept


def _slabs(steps: _Steps, plate: shapely.Polygon, foot: Foot, leans: float) -> list[PrintSolid]:
    """Return a foot's slabs, from the bed up, none wider than the one below: it comes straight down off the section.
    leans : mm, see _Steps.kept_off."""
    base, top = steps.base, max(foot.plate, foot.wedge)
    slabs, held, below = [], 0.0, plate
    for number in range(round(top / _STEP)):
        low, high = steps.between(number)
        shadow = steps.kept_off(number, leans)
        wedge = shadow.buffer(_TOP + top - (high - base))
        outline = below if high - base < foot.plate + _STEP / 2 else _sound(below & wedge)
        outline = _sound(outline - shadow.buffer(foot.gap if held < _HOLDS else foot.clear))
        # Without strips that no line fits into.
        outline = _sound(outline.buffer(-_STEP, quad_segs=4).buffer(_STEP, quad_segs=4).simplify(_SIMPLE))
        below = outline = _sound(shapely.set_precision(outline, _GRID))
        held += _STEP * _beside(steps.solid, (low + high) / 2, outline)
        if outline.is_empty:
            break
        slabs.append(PrintSolid.prism(outline, low, high))
    return slabs


def _beside(solid: PrintSolid, level: float, outline: shapely.Geometry) -> float:
    """Return along how much of a section's own outline at a level, mm, a foot comes so near that it holds on."""
    own = _sound(solid.section_at(_LEVEL.at((0.0, 0.0, level))))
    return float(own.boundary.intersection(outline.buffer(_NEAR)).length)


def _sound(outline: shapely.Geometry) -> shapely.Geometry:
    """Return an outline whose rings neither touch nor cross themselves: in rounded numbers an outline's may."""
    return outline if outline.is_valid else outline.buffer(0.0)
