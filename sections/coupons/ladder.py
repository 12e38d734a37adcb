"""Ladders: one hole after another, each a step wider, every one marked with its clearance."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from sections.coupons.coupon import Coupon, CouponHole, Ladder, block, less, moved, on_front, stroke_of, sunk_text
from sections.features.dowel import Dowel
from sections.features.key import Key
from sections.features.letters import text_width
from sections.features.shapes import cylinder, slot_bar
from sections.settings import Settings
from sections.settings.fit_values import fit_of
from sections.standards import fastener, insert, insert_sizes

if TYPE_CHECKING:
    import cadquery as cq

# mm per side; the steps of a ladder, and how many lie below the fit asked and in all.
STEP = 0.05
_BELOW, _RUNGS = 2, 6
# mm; plastic between holes and to the edge, below a blind hole, height of marks, room above and below them.
_WEB, _FLOOR, _MARK, _CLEAR = 2.0, 0.8, 4.0, 1.0
# mm per side; an insert's ladder.
_INSERT = (-0.10, -0.05, 0.0, 0.05, 0.10)

_SAYS = "say which jams, presses, slides, or is loose"


@dataclass(frozen=True)
class _Row:
    """Holes in a row. across : width of each, mm. long : of the longest, square to the row. solid_at : a hole's
    tool."""

    name: str
    across: tuple[float, ...]
    long: float
    solids: tuple[cq.Solid, ...]


@dataclass(frozen=True)
class _Tries:
    """What a ladder tries. fits : mm per side, of each rung. marks : of each rung. piece : in words, what goes into
    the holes. bought : mm, its width where it is bought, 0 where it is printed."""

    rows: list[_Row]
    fits: tuple[float, ...]
    marks: tuple[str, ...]
    piece: str
    bought: float


def fits_around(asked: float) -> tuple[float, ...]:
    """Return the clearances per side, mm, of a ladder: steps around the one asked, none below zero."""
    below = min(_BELOW, math.floor(max(asked, 0.0) / STEP + 1e-9))
    return tuple(round(max(asked, 0.0) + STEP * (n - below), 4) for n in range(_RUNGS))


def dowel_ladder(settings: Settings) -> Coupon:
    """Return blind holes for the dowel, round ones and slots, as they stand in a flange."""
    dowel = Dowel.of(settings, slot=False)
    depth, fits = dowel.length / 2 + dowel.end, fits_around(dowel.fit)
    across = tuple(2 * fit + dowel.diameter for fit in fits)
    long = max(across) + 2 * dowel.travel
    slots = tuple(_turned(slot_bar(wide + 2 * dowel.travel, wide, -depth, 1.0)) for wide in across)
    rows = [
        _Row("slot", across, long, slots),
        _Row("dowel", across, max(across), tuple(cylinder(wide / 2, -depth, 1.0) for wide in across)),
    ]
    use = f"push the dowel into each slot (row beside the marks) and each round hole: {_SAYS}"
    bought, height = dowel.diameter if dowel.metal else 0.0, depth + _FLOOR
    return _ladder(
        "coupon-dowel", "DOWEL", settings, _Tries(rows, fits, _marks(fits), "the dowel", bought), height, use
    )


def key_ladder(settings: Settings) -> Coupon:
    """Return pockets for the key, lying as they do in a flange."""
    asked = Key.of(settings)
    fits = fits_around(asked.fit)
    keys = [replace(asked, length=asked.width, width=asked.length, fit=fit, loose=True) for fit in fits]
    across = tuple(key.length + 2 * key.fit / math.cos(math.radians(key.draft)) for key in keys)
    long = asked.length + 2 * max(fits) / math.cos(math.radians(asked.draft))
    rows = [_Row("key", across, long, tuple(_pocket(key) for key in keys))]
    use = f"press the key into each pocket by hand: {_SAYS}"
    height = asked.height + asked.end + _FLOOR
    return _ladder("coupon-key", "KEY", settings, _Tries(rows, fits, _marks(fits), "the key", 0.0), height, use)


def bolt_ladder(settings: Settings) -> Coupon:
    """Return clearance holes of the three series of ISO 273, through a flange's thickness."""
    row = fastener(settings.bolts.size)
    series = ("fine", "medium", "coarse")
    across = tuple(row.hole(name) for name in series)
    rows = [_Row("bolt", across, max(across), tuple(cylinder(wide / 2, -99.0, 1.0) for wide in across))]
    use = f"drop the bolt through each hole, F fine, M medium, C coarse: {_SAYS}"
    fits = tuple(round((wide - row.diameter) / 2, 4) for wide in across)
    tries = _Tries(rows, fits, ("F", "M", "C"), f"an {row.size} bolt", row.diameter)
    return _ladder("coupon-bolt", row.size, settings, tries, settings.flange.thickness, use)


def insert_ladders(settings: Settings) -> tuple[Coupon, ...]:
    """Return blind holes for every size of heat-set insert the body takes."""
    asked = {one.insert for one in (*settings.bosses, *settings.hardpoints)}
    made = []
    for size in (size for size in insert_sizes() if size in asked):
        row = insert(size)
        fits = tuple(round(fit_of(settings, "insert") + step, 4) for step in _INSERT)
        across = tuple(row.hole + 2 * fit for fit in fits)
        rows = [_Row("insert", across, max(across), tuple(cylinder(w / 2, -row.hole_depth, 1.0) for w in across))]
        use = (
            "melt an insert into each hole: jams where plastic wells up, presses where it sits flush and fast, slides "
            "where it turns by hand"
        )
        tries = _Tries(rows, fits, _marks(fits), f"an {size} insert", row.hole)
        name, title = f"coupon-insert-{size.lower()}", f"INSERT {size}"
        made.append(_ladder(name, title, settings, tries, row.hole_depth + _FLOOR, use))
    return tuple(made)


def mark(fit: float) -> str:
    """Return a clearance, mm, as it is marked: in hundredths of one."""
    return f"{round(fit * 100, 1):g}"


def _marks(fits: tuple[float, ...]) -> tuple[str, ...]:
    return tuple(mark(fit) for fit in fits)


def _pocket(key: Key) -> cq.Solid:
    """Return a loose key's pocket, its mouth at z = 0 and its depth below."""
    return next(tool.solid for tool in key.tools() if tool.side == "minus")


def _turned(solid: cq.Solid) -> cq.Solid:
    """Return a solid turned a quarter about z: what lay along the row lies across it."""
    import cadquery as cq

    return solid.moved(cq.Location(cq.Vector(0, 0, 0), cq.Vector(0, 0, 1), 90.0))


def _ladder(name: str, title: str, settings: Settings, tries: _Tries, height: float, use: str) -> Coupon:
    """Return a bar with rows of holes, the marks in front of them, and what it is on its front."""
    rows, marks = tries.rows, tries.marks
    stroke = stroke_of(settings)
    web = max(_WEB, settings.flange.web)
    wide = max(max(row.across) for row in rows)
    pitch = max(wide + web, max(text_width(text, _MARK, stroke) for text in marks) + 1.5)
    length = max(pitch * len(marks) + web, text_width(title, _MARK, stroke) + 2)
    places = [length / 2 + pitch * (number - (len(marks) - 1) / 2) for number in range(len(marks))]
    # A bar high enough has its marks on its front as well as its title; a low one on top, before the holes.
    upright = height > 2 * _MARK + 3 * _CLEAR / 2
    before = web if upright else _MARK + 2 * _CLEAR
    width = before + sum(row.long + web for row in rows)
    front = -width / 2
    kind = name.removeprefix("coupon-")
    cutters, holes, ladders = [], [], []
    middle = front + before
    for row in rows:
        middle += row.long / 2
        for text, across, solid, x in zip(marks, row.across, row.solids, places, strict=True):
            cutters.append(moved(solid, x, middle))
            holes.append(
                CouponHole(text if len(rows) == 1 or row.name == kind else f"{row.name}-{text}", (x, middle), across)
            )
        ladders.append(
            Ladder(kind if len(rows) == 1 else row.name, row.name, tries.piece, tries.bought, marks, tries.fits)
        )
        middle += row.long / 2 + web
    for text, x in zip(marks, places, strict=True):
        if upright:
            cutters += on_front(sunk_text(text, (0.0, 0.0), _MARK, stroke), front, (x, -_CLEAR / 2 - _MARK / 2))
        else:
            cutters += sunk_text(text, (x, front + _CLEAR + _MARK / 2), _MARK, stroke)
    low = -height + _CLEAR / 2 + _MARK / 2 if upright else -height / 2
    cutters += on_front(sunk_text(title, (0.0, 0.0), min(_MARK, height - 1), stroke), front, (length / 2, low))
    return Coupon(name, less(block(length, width, height), cutters), 0.0, tuple(holes), use, ladders=tuple(ladders))
