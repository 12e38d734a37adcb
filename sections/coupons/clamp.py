"""Clamp pads: a wedge that lies on the sloped back of a flange, its outer face square to a clamp's pull."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from sections.coupons.coupon import moved
from sections.settings import Settings

if TYPE_CHECKING:
    import cadquery as cq

# mm; least thickness of a pad over the slope's outer end.
_LEAST = 3.0


def clamp_pad(settings: Settings) -> cq.Solid | None:
    """Return the pad as printed, flat on the face the clamp presses; None where none is asked for.

    Its x is along the depth below the skin, its y along the seam; its slope is that of the flange's back, which it
    meets from `clamps.clear` mm off the wall to the flange's inner edge.
    """
    if settings.clamps is None:
        return None
    import cadquery as cq

    slope = math.tan(math.radians(settings.flange.back_angle))
    start, end = settings.wall.thickness + settings.clamps.clear, settings.flange.height
    rise = (end - start) * slope
    outline = [(start, 0), (end, 0), (end, _LEAST + rise), (start, _LEAST)]
    half = settings.clamps.width / 2
    return moved(cq.Workplane("XZ").polyline(outline).close().extrude(settings.clamps.width).val(), 0.0, half)
