"""A printer that is no printer: it prints outlines, layer by layer, with faults of its own, and callipers and hands
that try what it made. Nothing of it is known to the code under test, which gets a filled-in form and nothing else."""

from __future__ import annotations

import json
import re
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
import shapely
from shapely import LineString, Polygon, affinity

from sections.building.tools import solid_mesh
from sections.calibration.form import form_text
from sections.features.dowel import Dowel
from sections.features.key import Key
from sections.numbers.frame import Frame
from sections.solids.print_solid import PrintSolid
from tests.shared import coupons_of

# mm; real clearance per side from which a joint presses, slides, is loose.
PRESSES, SLIDES, LOOSE = -0.05, 0.03, 0.16


@dataclass(frozen=True)
class Printer:
    """Faults. scale : printed by drawn, x, y, up. outside_oversize : mm, all across. hole_undersize : mm,
    mm2. foot : mm a side. noise : mm, of one size on one print. reading : mm, of callipers. feel : mm, a clearance."""

    scale: tuple[float, float, float]
    outside_oversize: float
    hole_undersize: tuple[float, float]
    foot: float
    noise: float
    reading: float
    feel: float

    @staticmethod
    def any(rng) -> Printer:
        """Return a printer as found in workshops, and worse."""
        scale = 1 - rng.uniform([-0.001, -0.001, -0.002], [0.009, 0.009, 0.004])
        narrow = rng.uniform(0.0, 0.15), rng.uniform(0.0, 0.8)
        noise = rng.uniform(0.01, 0.05)
        return Printer(tuple(scale), rng.uniform(-0.05, 0.15), narrow, rng.uniform(0.0, 0.2), noise,
                       rng.uniform(0.0, 0.015), rng.uniform(0.008, 0.05))  # fmt: skip

    def loss(self, across: float) -> float:
        """By how much a hole comes out smaller, mm, all across."""
        return self.hole_undersize[0] + self.hole_undersize[1] / across

    def layer(self, outline: Polygon, growth=(1.0, 1.0, 1.0), *, first: bool = False) -> Polygon:
        """Return one layer as it comes out. growth : of its file."""
        sx, sy = self.scale[0] * growth[0], self.scale[1] * growth[1]
        grown = affinity.scale(Polygon(outline.exterior), sx, sy, origin=(0, 0))
        grown = grown.buffer(self.outside_oversize / 2 + (self.foot if first else 0.0), join_style="mitre")
        for ring in outline.interiors:
            grown = grown - self.hole(Polygon(ring), growth)
        return grown

    def hole(self, ring: Polygon, growth=(1.0, 1.0, 1.0)) -> Polygon:
        """Return one layer of a hole as it comes out."""
        hole = affinity.scale(ring, self.scale[0] * growth[0], self.scale[1] * growth[1], origin=(0, 0))
        box = hole.bounds
        across = min(box[2] - box[0], box[3] - box[1])
        return hole.buffer(-self.loss(across) / 2, join_style="mitre")


@dataclass(frozen=True)
class Layers:
    """Outlines of one solid at some heights of its own frame."""

    heights: tuple[float, ...]
    outlines: tuple[Polygon, ...]


def layers(solid, heights) -> Layers:
    """Return the outlines of a CadQuery solid, triangulated finely as for its print file."""
    printed = PrintSolid.of(solid_mesh(solid, "part", 0.002))
    outlines = []
    for z in heights:
        frame = Frame((0.0, 0.0, float(z)), (1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0))
        outlines.append(max(shapely.get_parts(printed.section_at(frame)), key=lambda part: part.area))
    return Layers(tuple(heights), tuple(outlines))


def span(outline: Polygon, start, end, shift) -> float:
    """Return what callipers read between the two faces of an outline nearest to two places, along their line."""
    start, end = np.array(start) * shift, np.array(end) * shift
    way = (end - start) / np.linalg.norm(end - start)
    crossed = outline.boundary.intersection(LineString([start - 2 * way, end + 2 * way]))
    along = (shapely.get_coordinates(crossed) - start) @ way
    length = np.linalg.norm(end - start)
    return float(along[np.abs(along - length).argmin()] - along[np.abs(along).argmin()])


class Set:
    """The test prints for some settings, sliced once, to be printed on many printers."""

    def __init__(self, settings):
        """Slice what is needed of every coupon."""
        self.settings = settings
        # Asked for by every threshold of a printer.
        self.clearances = lru_cache(maxsize=8)(self._clearances)
        self.coupons = coupons_of(settings)
        self.form = form_text(settings, self.coupons)
        by_id = {coupon.id: coupon for coupon in self.coupons}
        self.plate = by_id["coupon-length"]
        self.plate_outline = layers(self.plate.solid, [-1.5]).outlines[0]
        self.tower = by_id["coupon-height"]
        dowel, key = Dowel.of(settings, slot=False), Key.of(settings)
        half = key.height
        self.pieces = {
            "key": layers(key.hardware().solid, np.array([-1, -0.5, -0.02, 0.02, 0.5, 1]) * (half - 1e-3)),
            "dowel": layers(dowel.hardware().solid, [0.0]),
        }
        pockets = layers(by_id["coupon-key"].solid, [-1e-3, -0.5 * half, -half])
        holes = layers(by_id["coupon-dowel"].solid, [-1.0])
        self.rungs = {"key": self._rungs(by_id["coupon-key"], pockets, turn=True)}
        for kind in ("dowel", "slot"):
            self.rungs[kind] = self._rungs(by_id["coupon-dowel"], holes, kind=kind)

    @staticmethod
    def _rungs(coupon, sliced: Layers, *, turn: bool = False, kind: str = "") -> list[list[Polygon]]:
        """Return every rung's holes, at every height, about its middle."""
        found = []
        for hole in coupon.holes:
            if kind and (hole.name.startswith("slot-")) != (kind == "slot"):
                continue
            point = shapely.Point(hole.centre)
            rings = []
            for outline in sliced.outlines:
                ring = next(Polygon(r) for r in outline.interiors if Polygon(r).contains(point))
                ring = affinity.translate(ring, -hole.centre[0], -hole.centre[1])
                rings.append(affinity.rotate(ring, 90, origin=(0, 0)) if turn else ring)
            found.append(rings)
        return found

    def _clearances(self, printer: Printer, kind: str) -> np.ndarray:
        """Return the real clearance per side, mm, of every rung, but for chance."""
        growth, piece = self.settings.printer.growth, self.pieces["key" if kind == "key" else "dowel"]
        made = [
            printer.layer(outline, growth, first=kind == "key" and number == 0).bounds
            for number, outline in enumerate(piece.outlines)
        ]
        depths = [round(abs(height) / piece.heights[-1] * 2) if kind == "key" else 0 for height in piece.heights]

        def clearance(rings: list[Polygon]) -> float:
            holes = [printer.hole(ring, growth).bounds for ring in rings]
            return min(_room(holes[depth], one) for depth, one in zip(depths, made, strict=True))

        return np.array([clearance(rings) for rings in self.rungs[kind]])

    def true_threshold(self, printer: Printer, kind: str, real: float) -> float:
        """Return the drawn clearance at which the real one is `real`."""
        fits = next(one.fits for c in self.coupons for one in c.ladders if one.kind == kind)
        made = self.clearances(printer, kind)
        line = np.polyfit(made, fits, 1)
        return float(np.polyval(line, real))

    def filled(self, printer: Printer, rng, prints: int, kinds=("key", "dowel", "slot")) -> str:
        """Return the form as a builder who printed the set on a printer fills it in."""
        text = self.form
        growth = self.settings.printer.growth
        outline = printer.layer(self.plate_outline, growth)
        shift = np.array(printer.scale[:2]) * growth[:2]
        for size in (*self.plate.sizes, *self.tower.sizes):
            if size.kind in ("x", "y"):
                true = span(outline, size.start[:2], size.end[:2], shift)
            elif size.kind == "hole":
                ways = np.array([size.start[:2], size.end[:2]]), _quarter(size.start[:2], size.end[:2])
                true = np.array([span(outline, *way, shift) for way in ways])
            elif size.kind == "height":
                true = size.asked * printer.scale[2] * growth[2]
            else:
                foot = 2 * printer.foot if size.kind == "foot" else 0.0
                true = size.asked * printer.scale[1] * growth[1] + printer.outside_oversize + foot
            read = []
            for _ in range(prints):
                one = true + rng.normal(0, printer.noise)
                read.append(np.round(one + rng.normal(0, printer.reading, 2), 2).tolist())
            text = _fill(text, size.id, "read", read)
        for kind in kinds:
            made = self.clearances(printer, kind)
            said = [[_answer(g + rng.normal(0, printer.feel)) for g in made] for _ in range(prints)]
            text = _fill(text, kind, "said", said)
        return text


def _quarter(start, end) -> np.ndarray:
    """Return the two ends of a diameter, turned a quarter about its middle."""
    ends = np.array([start, end])
    middle, half = ends.mean(0), np.diff(ends, axis=0)[0] / 2
    return middle + np.array([[half[1], -half[0]], [-half[1], half[0]]])


def _answer(clearance: float) -> str:
    if clearance < PRESSES:
        return "jams"
    return "presses" if clearance < SLIDES else "slides" if clearance < LOOSE else "loose"


def _fill(text: str, name: str, key: str, value) -> str:
    pattern = rf'(\{{ id = "{re.escape(name)}",[^\n]*{key} = )\[\]'
    made, count = re.subn(pattern, lambda found: found.group(1) + json.dumps(value), text)
    assert count == 1, name
    return made


class Proof:
    """The seam in small, sliced once, to be printed and put together."""

    def __init__(self, settings):
        """Slice both halves where their holes are plain, and the loose pieces."""
        self.settings = settings
        half = settings.keys.height
        heights = [-1e-3, -half]
        self.halves = [layers(coupon.solid, heights) for coupon in coupons_of(settings, proof=True)]
        dowel, key = Dowel.of(settings, slot=False), Key.of(settings)
        self.pin = layers(dowel.hardware().solid, [0.0]).outlines[0]
        self.key = layers(key.hardware().solid, [1e-3 - half, -1e-3, half - 1e-3]).outlines

    def joints(self, printer: Printer, rng, times: int) -> list[bool]:
        """Return whether each joint of each half, printed some times, goes together by hand."""
        growth = self.settings.printer.growth
        pin = printer.layer(self.pin, growth).bounds
        key = [printer.layer(outline, growth, first=number == 0).bounds for number, outline in enumerate(self.key)]
        went = []
        for half in self.halves:
            holes = [sorted(self._holes(printer, outline, growth), key=lambda b: b[0]) for outline in half.outlines]
            round_, slot, mouth = (holes[0][n] for n in range(3))
            deep = holes[1][2]
            real = [_room(round_, pin), _room(slot, pin), min(_room(mouth, key[1]), _room(deep, key[0]))]
            went += [room + rng.normal(0, printer.feel) >= SLIDES for room in real for _ in range(times)]
        return went

    @staticmethod
    def _holes(printer: Printer, outline: Polygon, growth) -> list[tuple]:
        return [Polygon(ring).bounds for ring in printer.layer(outline, growth).interiors if Polygon(ring).area > 8]

    def length_off(self, printer: Printer) -> float:
        """Return by how much the seam comes out longer than drawn, mm."""
        outline = self.halves[0].outlines[0]
        made = printer.layer(outline, self.settings.printer.growth).bounds
        return (made[2] - made[0]) - (outline.bounds[2] - outline.bounds[0])


def _room(hole, piece) -> float:
    return min(hole[2] - hole[0] - piece[2] + piece[0], hole[3] - hole[1] - piece[3] + piece[1]) / 2
