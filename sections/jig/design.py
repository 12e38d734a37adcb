"""The jig of a body: saddles on two rails, a stop at the nose, and which of their pads locate."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from shapely import MultiPolygon, box

from sections.errors import PARAMETERS, BadInput, Problem
from sections.jig.locating import Contact, freedoms_held
from sections.jig.pads import Pad
from sections.jig.sheet_part import Held, SheetPart, Slot, cradled, line, text, whole
from sections.jig.splicing import spliced
from sections.jig.stations import ALONG, Ground, Station, find_nose, stations_of
from sections.numbers.frame import Frame, make_frame
from sections.settings.jig import JigTable

# mm: between rails and the body's lowest place, at least and when placed; of rails past the end stations; of saddles
# beside the body. How many saddles the stop runs through.
_CLEAR, _ROOM, _PAST, _BESIDE = 10.0, 40.0, 80.0, 40.0
# mm: of saddles beside the body where a joint of two printed pieces may have to find room.
_BESIDE_PRINTED = 70.0
_ON_STOP = 2


@dataclass(frozen=True)
class Jig:
    """parts : to be cut. contacts : where they hold the body. stations : x of the saddles, mm. top : z of the rails'
    upper edge, mm."""

    parts: tuple[SheetPart, ...]
    contacts: tuple[Contact, ...]
    stations: tuple[float, ...]
    top: float


def design_jig(ground: Ground, jig: JigTable) -> Jig:
    """Return the jig of a body. Raises BadInput where it has nothing to hold it by."""
    top = _top(ground, jig)
    stations = stations_of(ground, jig)
    stop_frame, stop_shape, stop = find_nose(ground, jig)
    locating = _locating(stations)
    xs = tuple(station.x for station in stations)
    rails = [ground.middle - jig.rails, ground.middle + jig.rails]
    contacts, parts = [], []
    for number, station in enumerate(stations, 1):
        own = _contacts(f"saddle-{number}", station, locating, jig)
        contacts += own
        crossings = [*rails, ground.middle] if number <= _ON_STOP else rails
        parts.append(_saddle(number, station, own, crossings, top, jig))
    contacts.append(Contact("stop:nose", stop.place, stop.normal, "x", jig.gap))
    for name, y in zip(("left", "right"), rails, strict=True):
        rail = _rail(name, y, xs, top, jig)
        parts += spliced(rail, jig) if jig.make == "sheet" else (rail,)
    parts.append(_stop(stop_frame, stop_shape, stop, xs, top, jig))
    return _whole(Jig(tuple(parts), tuple(contacts), xs, top))


def _locating(stations: list[Station]) -> dict[tuple[float, str], str]:
    """Return which pads locate, by station and side: three below, at the ends, and two fences, far apart. Raises
    BadInput without so many."""
    sides = [station for station in stations if station.side is not None]
    if len(stations) < 2 or len(sides) < 2:
        limit = "two stations or more with skin to hold from below, and two from the right"
        held = f"{len(stations)} and {len(sides)}"
        raise BadInput([Problem(PARAMETERS, "jig", held, limit, "a larger jig.reach, or smaller jig.pad")])
    wide, lone = sorted((stations[0], stations[-1]), key=lambda one: -one.spread)
    below = {(wide.x, "left"): "z", (wide.x, "right"): "z", (lone.x, "right"): "z"}
    return below | {(sides[0].x, "side"): "y", (sides[-1].x, "side"): "y"}


def _whole(made: Jig) -> Jig:
    """Return a jig whose six locating contacts hold all six freedoms. Raises BadInput when they do not."""
    held = freedoms_held([one for one in made.contacts if one.locates])
    if held < 6:
        limit = "six contacts that hold all six freedoms"
        raise BadInput([Problem(PARAMETERS, "jig", f"{held} held", limit, "other jig.stations or jig.reach")])
    return made


def _top(ground: Ground, jig: JigTable) -> float:
    """Return z of the rails' upper edge. Raises BadInput where it would touch the body."""
    lowest = float(ground.bounds[0, 2])
    if jig.top is None:
        return float(np.floor((lowest - _ROOM) / 10) * 10)
    if jig.top > lowest - _CLEAR:
        limit = f"{lowest - _CLEAR:.1f} or less: {_CLEAR:g} mm below the body's lowest place"
        raise BadInput([Problem(PARAMETERS, "jig.top", f"{jig.top:g}", limit, "lower the rails")])
    return jig.top


def _contacts(part: str, station: Station, locating: dict, jig: JigTable) -> list[Contact]:
    """Return where a saddle holds the body: below on both sides, on the flank only where that locates."""
    made = []
    for name, pad in (("left", station.left), ("right", station.right), ("side", station.side)):
        locates = locating.get((station.x, name), "")
        if pad is not None and (locates or name != "side"):
            gap = jig.gap + (0.0 if locates else jig.shim_gap)
            made.append(Contact(f"{part}:{name}", pad.place, pad.normal, locates, gap))
    return made


def _saddle(number: int, station: Station, contacts, crossings: list[float], top: float, jig: JigTable):
    """Return the saddle of a station. crossings : y of what it stands on, mm: both rails first."""
    middle = (crossings[0] + crossings[1]) / 2
    lap = jig.height / 2
    foot = top - lap
    low, high = station.shape.bounds[1], station.shape.bounds[1] + jig.reach
    within = station.shape & box(-1e5, -1e5, 1e5, high)
    left, _, right, _ = within.bounds
    beside = _BESIDE if jig.make == "sheet" else _BESIDE_PRINTED
    left = min(left, crossings[0]) - beside
    right = max(right, crossings[1]) + beside
    pads = {"left": station.left, "right": station.right, "side": station.side}
    held = [Held(pads[one.id.split(":")[1]], one.gap) for one in contacts]
    shape = cradled(box(left, foot, right, high), station.shape, held, jig)
    slots = tuple(Slot(y, foot + lap / 2, foot - 1.0, jig.thickness + 2 * jig.fit) for y in crossings)
    marks = (
        line((middle, foot + lap / 2 + 8), (middle, low - jig.gap - jig.relief - 2)),
        line((left + 5, top), (left + 45, top)),
        line((right - 45, top), (right - 5, top)),
        text(f"S{number} X{station.x:g}", (middle + 15, foot + 6)),
    )
    outline = whole(_less(shape, slots, jig), (left, foot))
    return SheetPart(f"saddle-{number}", station.frame, jig.thickness, outline, marks, slots)


def _less(shape, slots: tuple[Slot, ...], jig: JigTable):
    """Return a shape less its slots."""
    for one in slots:
        shape = shape - one.cut(jig.cutter)
    return shape


def _rail(name: str, y: float, stations: tuple[float, ...], top: float, jig: JigTable) -> SheetPart:
    """Return one rail: an upright strip with a slot for every saddle."""
    bottom, low, high = top - jig.height, stations[0] - _PAST, stations[-1] + _PAST
    slots = _crossings(stations, top, jig)
    frame = make_frame(np.array([0.0, y, 0.0]), ALONG)
    marks = [line((x, bottom + 2), (x, bottom + 17)) for x in stations]
    marks.append(text(f"RAIL {name[0].upper()} Y{y:g}", (low + 8, bottom + 8)))
    outline = whole(_less(box(low, bottom, high, top), slots, jig), (low, bottom))
    return SheetPart(f"rail-{name}", frame, jig.thickness, outline, tuple(marks), slots)


def _crossings(stations: tuple[float, ...], top: float, jig: JigTable) -> tuple[Slot, ...]:
    """Return the slots of a rail that take the saddles."""
    return tuple(Slot(x, top - jig.height / 4, top + 1.0, jig.thickness + 2 * jig.fit) for x in stations)


def _stop(frame: Frame, body: MultiPolygon, pad: Pad, stations: tuple[float, ...], top: float, jig: JigTable):
    """Return the stop: a strip along the middle through the first two saddles, upright before the nose."""
    bottom, nose = top - jig.height, body.bounds[0]
    low, high = nose - _BESIDE - jig.relief, stations[1] + _PAST
    if len(stations) > _ON_STOP:
        high = min(high, stations[_ON_STOP] - jig.thickness)
    upright = pad.at[1] + jig.pad / 2 + 5
    blank = box(low, bottom, high, top) | box(low, bottom, min(pad.at[0] + 30, stations[0] - jig.pad), upright)
    shape = cradled(blank, body, [Held(pad, jig.gap)], jig)
    slots = _crossings(stations[:_ON_STOP], top, jig)
    marks = (
        *(line((x, bottom + 2), (x, bottom + 17)) for x in stations[:_ON_STOP]),
        text("STOP", (low + 8, bottom + 8)),
    )
    outline = whole(_less(shape, slots, jig), (low, bottom))
    return SheetPart("stop", frame, jig.thickness, outline, marks, slots)
