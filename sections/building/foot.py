"""The foot of a section, made around it as it is printed."""

from __future__ import annotations

import numpy as np
import shapely

from sections.building.settle import settle
from sections.errors import BuildFailed
from sections.numbers.frame import Frame
from sections.numbers.mesh import NO_GROWTH, Growth, Mesh
from sections.plan.foot import Foot
from sections.solids.print_solid import PrintSolid

# mm; a foot is made in such steps; what hangs over it so near is kept off as well.
_STEP, _ABOVE = 0.2, 0.2
# A wedge is so wide at its top, mm, and wider by 45 deg below.
_TOP = 1.6
_LEVEL = Frame((0.0, 0.0, 0.0), (1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0))


def make_foot(printed: Mesh, foot: Foot, growth: Growth, what: str) -> Mesh:
    """Return a section's foot in print coordinates: closed, `foot.gap` mm off the section everywhere.

    printed : the section in print coordinates. growth : by what the file is larger than the section.
    """
    solid = PrintSolid.of(printed, what)
    plate = shapely.Polygon(np.array(foot.outline) * np.array(growth[:2]))
    base, top = float(printed.bounds[0, 2]), max(foot.plate, foot.wedge)
    slabs = []
    for number in range(round(top / _STEP)):
        low, high = base + number * _STEP, base + (number + 1) * _STEP
        shadow = _between(solid, low - _ABOVE, high + _ABOVE)
        left = top - (high - base)
        outline = plate if high - base < foot.plate + _STEP / 2 else plate & shadow.buffer(_TOP + left)
        # Without strips that no line fits into.
        outline = (outline - shadow.buffer(foot.gap)).buffer(-_STEP).buffer(_STEP)
        if not outline.is_empty:
            slabs.append(PrintSolid.prism(outline, low, high))
    if not slabs:
        raise BuildFailed(f"{what}: no room for its foot beside it")
    return settle(slabs[0].unite(slabs[1:]), _LEVEL, NO_GROWTH, f"the foot of {what}")


def _between(solid: PrintSolid, low: float, high: float) -> shapely.Geometry:
    """Return the outline, seen from above, of what of a solid lies between two heights, mm."""
    bounds = solid.bounds
    slab = PrintSolid.box([*(bounds[0, :2] - 1.0), low], [*(bounds[1, :2] + 1.0), high])
    return solid.common(slab).shadow(_LEVEL)
