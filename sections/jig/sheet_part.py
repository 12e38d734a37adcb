"""Parts cut from sheet: their outlines, marks and slots."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from shapely import LineString, MultiPolygon, Point, Polygon, affinity, box

from sections.features.letters import text_outline
from sections.jig.contour import lifted
from sections.jig.pads import Pad
from sections.numbers.frame import Frame
from sections.settings.jig import JigTable
from sections.solids.planar import as_multipolygon

# mm; letters, their stroke, and how coarse outlines may be.
_LETTER, _STROKE, _COARSE = 10.0, 1.0, 0.02
_QUARTER = 16


@dataclass(frozen=True)
class Slot:
    """An upright slot for another sheet. middle : along the part, mm. end, mouth : heights, mm. width : mm."""

    middle: float
    end: float
    mouth: float
    width: float

    def cut(self, cutter: float) -> shapely.Geometry:
        """Return what is cut out: the slot, and relief at its inner corners, so that a square edge seats at its end.

        cutter : diameter, mm, 0 for a laser. Each relief is a disc through a corner, which goes with it.
        """
        low, high = min(self.end, self.mouth), max(self.end, self.mouth)
        shape = box(self.middle - self.width / 2, low, self.middle + self.width / 2, high)
        if not cutter:
            return shape
        off = cutter / 2 / np.sqrt(2)
        height = self.end + np.sign(self.mouth - self.end) * off
        places = [self.middle + side * (self.width / 2 - off) for side in (-1, 1)]
        return shapely.union_all([shape, *(Point(x, height).buffer(cutter / 2, quad_segs=_QUARTER) for x in places)])


@dataclass(frozen=True)
class SheetPart:
    """One part to be cut from sheet.

    frame : of its middle plane in the vehicle frame. outline : in the frame's x, y, mm, as the cutter leaves it.
    marks : lines and letters cut in, not through. slots : in the outline. follows : gap, mm, at which a template's edge
    follows the skin; None for parts that do not.
    """

    id: str
    frame: Frame
    thickness: float
    outline: Polygon
    marks: tuple[shapely.Geometry, ...]
    slots: tuple[Slot, ...] = ()
    follows: float | None = None


@dataclass(frozen=True)
class Held:
    """A pad and how far its edge stays off the skin, mm, square to it."""

    pad: Pad
    gap: float

    @property
    def in_sheet(self) -> float:
        """How far its edge stays off the body's outline in the sheet's plane, mm."""
        return self.gap / self.pad.within


def cradled(blank: Polygon, body: MultiPolygon, held: list[Held], jig: JigTable) -> shapely.Geometry:
    """Return a blank less the body and all it passes through when it is lifted out, and less what keeps off that: at
    the pads by their gap, elsewhere by the relief more."""
    way = lifted(body, float(blank.bounds[3] - blank.bounds[1]))
    shape = blank - way.buffer(jig.gap + jig.relief, quad_segs=_QUARTER)
    zones = [(_zone(one.pad, jig) & blank) - way.buffer(one.in_sheet, quad_segs=_QUARTER) for one in held]
    return _as_cut(shapely.union_all([shape, *zones]), way.buffer(0.99 * jig.gap, quad_segs=_QUARTER), jig.cutter / 2)


def _as_cut(shape: shapely.Geometry, clear: shapely.Geometry, radius: float) -> shapely.Geometry:
    """Return a shape as a cutter of a radius, mm, leaves it: rounded in its inner corners, but where that would reach
    into what is to be clear, as below a sharp sill, relieved."""
    if not radius:
        return shape
    rounded = shape.buffer(radius, quad_segs=_QUARTER).buffer(-radius, quad_segs=_QUARTER)
    return rounded - (rounded & clear).buffer(radius, quad_segs=_QUARTER)


def _zone(pad: Pad, jig: JigTable) -> Polygon:
    """Return the strip of a pad's width that runs from inside the body out through the relief."""
    depth = 1.5 * (jig.gap + jig.shim_gap + jig.relief) + 5.0
    out = np.array(pad.out)
    along = np.array([-out[1], out[0]]) * jig.pad / 2
    low, high = np.array(pad.at) - 5.0 * out, np.array(pad.at) + depth * out
    return Polygon([low - along, low + along, high + along, high - along])


def whole(shape: shapely.Geometry, foot: tuple[float, float]) -> Polygon:
    """Return the piece of a shape that a place on its foot belongs to, without corners nobody sees."""
    pieces = as_multipolygon(shape).geoms
    piece = min(pieces, key=lambda one: one.distance(Point(foot)))
    return Polygon(piece.exterior).simplify(_COARSE)


def line(start: tuple[float, float], stop: tuple[float, float]) -> LineString:
    """Return a line to cut in, from place to place, mm."""
    return LineString([start, stop])


def text(words: str, at: tuple[float, float]) -> shapely.Geometry:
    """Return letters to cut in, their lower left corner at a place, as the lines around them."""
    return affinity.translate(text_outline(words, _LETTER, _STROKE), *at).boundary
