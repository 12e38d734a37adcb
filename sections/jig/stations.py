"""Where a body is held: stations across it, each with skin to hold from below, and its nose."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import chain

import numpy as np
from shapely import MultiPolygon

from sections.errors import PARAMETERS, BadInput, Problem
from sections.jig.contour import Contour, shadow
from sections.jig.pads import Pad, Skin, find_fence, find_pad
from sections.numbers.frame import Frame, Plane, make_frame
from sections.settings.jig import JigTable
from sections.solids.print_solid import PrintSolid

# Of a body's length, at its tail, twice at its nose: no station is placed there. mm: between places tried for one, at
# most; between one and a seam across.
_ENDS, _TRIED, _OFF_SEAMS = 0.03, 40.0, 15.0
_DOWN, _RIGHT = np.array([0.0, -1.0]), np.array([1.0, 0.0])
# Of the pitch: stations that are placed are no nearer to one another.
_APART = 0.25
# How level skin must look at a pad before one further out is preferred.
_LEVEL = 0.8
# The axes of a sheet along the body as columns: x, z, and -y square to it.
ALONG = np.array([[1.0, 0.0, 0.0], [0.0, 0.0, -1.0], [0.0, 1.0, 0.0]])
ACROSS = np.array([[0.0, 0.0, 1.0], [1.0, 0.0, 0.0], [0.0, 1.0, 0.0]])


@dataclass(frozen=True)
class Ground:
    """What a jig is made for. body : all of it. bounds : (2, 3) mm. skin : what it can be held by. seams : planes."""

    body: PrintSolid
    skin: Skin
    seams: tuple[Plane, ...]

    @property
    def bounds(self) -> np.ndarray:
        """Smallest and largest corner, (2, 3) mm."""
        return self.body.bounds

    @property
    def middle(self) -> float:
        """y of the jig's middle, mm: 0 for a body that lies evenly about it."""
        low, high = self.bounds[:, 1]
        return 0.0 if abs(low + high) < 1.0 else float(low + high) / 2


@dataclass(frozen=True)
class Station:
    """A place for a saddle. left, right : pads below the body. side : one on its right flank, None without."""

    x: float
    frame: Frame
    shape: MultiPolygon
    left: Pad
    right: Pad
    side: Pad | None

    @property
    def spread(self) -> float:
        """How far apart its pads are, mm."""
        return self.right.place[1] - self.left.place[1]


def stations_of(ground: Ground, jig: JigTable) -> list[Station]:
    """Return the stations asked for, or placed. Raises BadInput with every one asked for that finds no hold."""
    return _given(ground, jig) if jig.stations else _placed(ground, jig)


def _given(ground: Ground, jig: JigTable) -> list[Station]:
    """Return the stations asked for. Raises BadInput with every one that finds no hold."""
    found = [(number, x, station_at(ground, x, jig)) for number, x in enumerate(jig.stations)]
    limit = "a place with plain skin, a pad wide, that looks down on either side, and no seam across"
    problems = [
        Problem(PARAMETERS, f"jig.stations[{number + 1}]", f"{x:g}", limit, "move it")
        for number, x, station in found
        if station is None
    ]
    if problems:
        raise BadInput(problems)
    return [station for _, _, station in found]


def _placed(ground: Ground, jig: JigTable) -> list[Station]:
    """Return stations no further apart than asked wherever the body can be held: each as far on as may be."""
    low, high = ground.bounds[:, 0]
    first = low + max(2 * _ENDS * (high - low), 2 * jig.pad + jig.thickness)
    places = [float(x) for x in np.arange(first, high - _ENDS * (high - low), min(_TRIED, jig.pitch / 4)).round(0)]
    chosen: list[Station] = []
    while places:
        last = chosen[-1].x if chosen else places[0] - jig.pitch
        places = [x for x in places if x >= last + _APART * jig.pitch]
        within = [x for x in places if x <= last + jig.pitch]
        # The first as near to the nose as may be.
        ahead = (reversed(within) if chosen else iter(within)), iter(places[len(within) :])
        tried = (station_at(ground, x, jig) for x in chain(*ahead))
        found = next((station for station in tried if station is not None), None)
        if found is None:
            break
        chosen.append(found)
        places = [x for x in places if x > found.x]
    return chosen


def station_at(ground: Ground, x: float, jig: JigTable) -> Station | None:
    """Return the station at x, mm, or None where the body cannot be held on both sides, or a seam across it is near."""
    for plane in ground.seams:
        if abs(plane.normal[0]) > 0.99 and abs(plane.offset / plane.normal[0] - x) < _OFF_SEAMS:
            return None
    frame = make_frame(np.array([x, 0.0, 0.0]), ACROSS)
    shape = shadow(ground.body, frame, jig.thickness)
    contour = Contour.of(frame, shape)
    if contour is None:
        return None
    beside = contour.points[:, 0] - ground.middle
    low = contour.points[:, 1] < contour.points[:, 1].min() + jig.reach - jig.pad / 2
    level = contour.normals @ _DOWN
    pads = []
    for side in (-1, 1):
        prefer = np.where(level > _LEVEL, side * beside, level - 10)
        pads.append(find_pad(contour, ground.skin, jig.pad, _DOWN, low & (side * beside > 0), prefer))
    if None in pads:
        return None
    flank = find_fence(contour, ground.skin, jig.pad / 2, _RIGHT, low)
    return Station(x, frame, shape, *pads, flank)


def find_nose(ground: Ground, jig: JigTable) -> tuple[Frame, MultiPolygon, Pad]:
    """Return (frame, the body's shadow, pad) of the stop at the nose. Raises BadInput without skin to stop."""
    frame = make_frame(np.array([0.0, ground.middle, 0.0]), ALONG)
    shape = shadow(ground.body, frame, jig.thickness)
    contour = Contour.of(frame, shape)
    pad = contour and find_fence(contour, ground.skin, jig.pad / 2, -_RIGHT, np.ones(len(contour.points), bool))
    if pad is None:
        limit = "plain skin foremost at the body's middle, for the stop"
        raise BadInput([Problem(PARAMETERS, "jig", "", limit, "a smaller jig.pad, or turn the body")])
    return frame, shape, pad
