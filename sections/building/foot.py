"""The foot of a section, made around it as it is printed.

A foot that follows its section closely grows into what leans above it, and its parts over a ledge float or lock it
in: a check that looked at the foot's box found neither.
"""

from __future__ import annotations

import numpy as np
import shapely

from sections.building.settle import settle
from sections.errors import BuildFailed
from sections.numbers.frame import Frame
from sections.numbers.mesh import NO_GROWTH, Growth, Mesh
from sections.plan.foot import Foot
from sections.solids.print_solid import PrintSolid

# mm; a foot is made in such steps. What lies so close above or below is kept off as well, unless it leans by so little
# and what is made so keeps off by this part of its gap.
_STEP, _CLOSE, _LEANS, _APART = 0.2, 0.2, 0.15, 0.6
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
    solid = PrintSolid.of(printed, what)
    plate = shapely.Polygon(np.array(foot.outline) * np.array(growth[:2]))
    for leans in (_LEANS, 0.0):
        slabs = _slabs(solid, plate, foot, leans)
        if not slabs:
            raise BuildFailed(f"{what}: no room for its foot beside it")
        made = slabs[0].unite(slabs[1:])
        if made.gap_to(solid, foot.gap) > _APART * foot.gap:
            break
    return settle(made, _LEVEL, NO_GROWTH, f"the foot of {what}")


def _slabs(solid: PrintSolid, plate: shapely.Polygon, foot: Foot, leans: float) -> list[PrintSolid]:
    """Return a foot's slabs, from the bed up, none wider than the one below: it comes straight down off the section.
    leans : mm, see _kept_off."""
    base, top = float(solid.bounds[0, 2]), max(foot.plate, foot.wedge)
    slabs, held, below = [], 0.0, plate
    for number in range(round(top / _STEP)):
        low, high = base + number * _STEP, base + (number + 1) * _STEP
        shadow = _kept_off(solid, low, high, leans)
        wedge = shadow.buffer(_TOP + top - (high - base))
        outline = below if high - base < foot.plate + _STEP / 2 else _sound(below & wedge)
        outline = _sound(outline - shadow.buffer(foot.gap if held < _HOLDS else foot.clear))
        # Without strips that no line fits into.
        outline = _sound(outline.buffer(-_STEP, quad_segs=4).buffer(_STEP, quad_segs=4).simplify(_SIMPLE))
        below = outline = _sound(shapely.set_precision(outline, _GRID))
        held += _STEP * _beside(solid, (low + high) / 2, outline)
        if outline.is_empty:
            break
        slabs.append(PrintSolid.prism(outline, low, high))
    return slabs


def _kept_off(solid: PrintSolid, low: float, high: float, leans: float) -> shapely.Geometry:
    """Return the outline of what a foot keeps off between two heights, mm: what of a section lies there, and what lies
    close above and below that, unless it leans by so little, mm, that it is as far off all the same."""
    kept = beside = _between(solid, low, high)
    for other in (_between(solid, high, high + _CLOSE), _between(solid, low - _CLOSE, low)):
        past = _sound(other - beside.buffer(leans)).buffer(-_SLIVER).buffer(2 * leans + _SLIVER)
        kept = _sound(kept | _sound(past & other))
    return kept


def _beside(solid: PrintSolid, level: float, outline: shapely.Geometry) -> float:
    """Return along how much of a section's own outline at a level, mm, a foot comes so near that it holds on."""
    own = _sound(solid.section_at(_LEVEL.at((0.0, 0.0, level))))
    return float(own.boundary.intersection(outline.buffer(_NEAR)).length)


def _between(solid: PrintSolid, low: float, high: float) -> shapely.Geometry:
    """Return the outline, seen from above, of what of a solid lies between two heights, mm."""
    bounds = solid.bounds
    slab = PrintSolid.box([*(bounds[0, :2] - 1.0), low], [*(bounds[1, :2] + 1.0), high])
    return _sound(solid.common(slab).shadow(_LEVEL))


def _sound(outline: shapely.Geometry) -> shapely.Geometry:
    """Return an outline whose rings neither touch nor cross themselves: in rounded numbers an outline's may."""
    return outline if outline.is_valid else outline.buffer(0.0)
