"""Ladders: one hole after another, each a step wider, every one marked with its clearance."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace
from typing import TYPE_CHECKING

from sections.coupons.coupon import Coupon, Hole, block, less, moved, sunk_text
from sections.features.dowel import Dowel
from sections.features.key import Key
from sections.features.shapes import cylinder
from sections.settings import Settings
from sections.standards import fastener

if TYPE_CHECKING:
    import cadquery as cq

# mm per side; the steps of a ladder to either side of the fit asked.
_STEP = 0.05
_BELOW, _ABOVE = 2, 3
_GAP = 4.0
_MARK_HEIGHT = 6.0


def fits_around(asked: float) -> list[float]:
    """Return the clearances per side, mm, of a ladder around the one asked; none below zero."""
    steps = (asked + _STEP * n for n in range(-_BELOW, _ABOVE + 1))
    return sorted({round(max(fit, 0.0), 3) for fit in steps})


def dowel_ladder(settings: Settings) -> Coupon:
    """Return blind holes for the dowel, as they stand in a flange."""
    dowel = Dowel.of(settings, slot=False)
    depth = dowel.length / 2 + dowel.end
    holes = [
        (mark(fit), 2 * fit + dowel.diameter, _bore(dowel.diameter / 2 + fit, depth)) for fit in fits_around(dowel.fit)
    ]
    use = "Push the pin into each hole. Set fits.dowel to the mark of the tightest that goes in by hand."
    return _ladder("coupon-dowel", settings, holes, depth + settings.flange.land, use)


def key_ladder(settings: Settings) -> Coupon:
    """Return pockets for the key, lying as they do in a flange."""
    asked = Key.of(settings)
    holes = []
    for fit in fits_around(asked.fit):
        key = replace(asked, length=asked.width, width=asked.length, fit=fit, loose=True)
        across = key.length + 2 * fit / math.cos(math.radians(key.draft))
        holes.append((mark(fit), across, lambda x, key=key: moved(_pocket(key), x)))
    use = "Press the key into each pocket. Set fits.key to the mark of the tightest that seats fully by hand."
    return _ladder("coupon-key", settings, holes, asked.height + asked.end + settings.flange.land, use, asked.length)


def bolt_ladder(settings: Settings) -> Coupon:
    """Return clearance holes of the three series of ISO 273, through a flange's thickness."""
    row = fastener(settings.bolts.size)
    through = settings.flange.thickness + 1
    holes = [
        (series[0].upper(), row.hole(series), _bore(row.hole(series) / 2, through))
        for series in ("fine", "medium", "coarse")
    ]
    use = "Drop the bolt through each hole: F fine, M medium, C coarse. Set fits.bolt to the finest that lets it fall."
    return _ladder("coupon-bolt", settings, holes, settings.flange.thickness, use)


def mark(fit: float) -> str:
    """Return a clearance as it is marked: in hundredths of a millimetre."""
    return f"{round(fit * 100)}"


def _pocket(key: Key) -> cq.Solid:
    """Return a loose key's pocket, its mouth at z = 0 and its depth below."""
    return next(tool.solid for tool in key.tools() if tool.side == "minus")


def _bore(radius: float, depth: float) -> Callable[[float], cq.Solid]:
    return lambda x: moved(cylinder(radius, -depth, 1.0), x)


def _ladder(name: str, settings: Settings, holes: list, height: float, use: str, long: float | None = None) -> Coupon:
    """Return a bar with the holes in a row, (mark, width across, solid at x), and the marks beside them."""
    wide = max(across for _, across, _ in holes)
    long = long or wide
    stroke = max(1.0, 2 * settings.printer.nozzle)
    pitch = max(wide + _GAP, 2.2 * _MARK_HEIGHT)
    width = long + 2 * _GAP + _MARK_HEIGHT + 2
    row = width / 2 - _GAP - long / 2
    bar = block(pitch * len(holes) + _GAP, width, height)
    cutters, places = [], []
    for number, (text, across, solid_at) in enumerate(holes):
        x = _GAP / 2 + pitch * (number + 0.5)
        cutters.append(moved(solid_at(x), 0, row))
        cutters += sunk_text(text, (x, -width / 2 + 2 + _MARK_HEIGHT / 2), _MARK_HEIGHT, stroke)
        places.append(Hole(text, (x, row), across))
    return Coupon(name, less(bar, cutters), 0.0, tuple(places), use)
