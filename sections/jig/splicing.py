"""Rails longer than a sheet: parted between stations by a tail and socket in the sheet's own plane."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import shapely
from shapely import Polygon, box

from sections.jig.sheet_part import SheetPart, whole
from sections.settings.jig import JigTable

# mm; what nesting keeps free on a sheet, at most.
_EDGES = 70.0
# Of the rail's height: how long the tail is, how high its neck and its end; of the cutter's diameter at least.
_LONG, _NECK, _END = 0.35, 0.3, 0.5
_QUARTER = 16


def spliced(rail: SheetPart, jig: JigTable) -> tuple[SheetPart, ...]:
    """Return a rail in as few pieces as the sheet allows, in order along it; where none will do, as it is."""
    low, bottom, high, top = rail.outline.bounds
    longest = max(jig.sheet) - _EDGES - _LONG * jig.height
    count = int(np.ceil((high - low) / longest))
    cuts = _cuts([slot.middle for slot in rail.slots], low, high, count)
    if len(cuts) != count - 1:
        return (rail,)
    pieces, rest, first = [], rail.outline, low
    for number, x in enumerate([*cuts, None], 1):
        own, mark_end = rest, high
        if x is not None:
            joint = _joint(x, bottom, top, jig)
            own, rest, mark_end = rest & joint, rest - joint.buffer(jig.fit, quad_segs=_QUARTER), x
        outline = whole(own, ((first + mark_end) / 2, bottom))
        slots = tuple(slot for slot in rail.slots if first < slot.middle < mark_end)
        marks = tuple(mark for mark in rail.marks if first <= mark.bounds[0] < mark_end)
        pieces.append(replace(rail, id=f"{rail.id}-{number}", outline=outline, slots=slots, marks=marks))
        first = mark_end
    return tuple(pieces)


def _cuts(stations: list[float], low: float, high: float, count: int) -> list[float]:
    """Return the places between stations nearest to even cuts, each once."""
    between = [(one + two) / 2 for one, two in zip(stations[:-1], stations[1:], strict=True)]
    wanted = [low + (high - low) * i / count for i in range(1, count)]
    return sorted({min(between, key=lambda x: abs(x - at)) for at in wanted}) if between else []


def _joint(x: float, bottom: float, top: float, jig: JigTable) -> Polygon:
    """Return all short of a joint at x, its tail included, rounded so that the cutter gets into every corner."""
    height, middle, far = top - bottom, (top + bottom) / 2, 1e5
    neck, end, long = _NECK * height / 2, _END * height / 2, _LONG * height
    tail = Polygon([(x - 1, middle - neck), (x + long, middle - end), (x + long, middle + end), (x - 1, middle + neck)])
    radius = jig.cutter / 2
    rounded = tail.buffer(-radius, quad_segs=_QUARTER).buffer(radius, quad_segs=_QUARTER) | tail & box(
        x - 1, -far, x, far
    )
    shape = box(x - far, bottom - far, x, top + far) | rounded
    closed = shape.buffer(radius, quad_segs=_QUARTER).buffer(-radius, quad_segs=_QUARTER)
    return max(shapely.get_parts(closed), key=lambda part: part.area)
