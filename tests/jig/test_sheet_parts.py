"""Outlines of sheet parts in closed form: slots, relief, tails, sheets."""

import math
from itertools import combinations

import numpy as np
import pytest
import shapely
from shapely import Point, box

from sections.errors import BadInput
from sections.jig.nesting import nest
from sections.jig.pads import Pad
from sections.jig.sheet_part import Held, SheetPart, Slot, cradled
from sections.jig.splicing import spliced
from sections.numbers.frame import Plane
from sections.settings.jig import JigTable

FRAME = Plane((0.0, -1.0, 0.0), 0.0).frame()
JIG = JigTable(thickness=12, cutter=6, fit=0.15, height=100)


def part(name, outline, slots=()):
    return SheetPart(name, FRAME, 12.0, outline, (), tuple(slots))


class TestSlot:
    @pytest.mark.parametrize("cutter", [0.0, 3.0, 6.0])
    @pytest.mark.parametrize(("end", "mouth"), [(25.0, 0.0), (0.0, 25.0)])
    def test_a_square_edge_seats(self, cutter, end, mouth):
        """All of a rectangle as wide as the slot goes in to its end, corners and all, and a cutter gets everywhere:
        what is cut is a union of discs of its size, but for what 64 corners to a disc leave: two corners without relief
        would leave 2 (1 - pi / 4) r^2, 0.97 and 3.9 mm2."""
        cut = Slot(100.0, end, mouth, 12.3).cut(cutter)
        square = box(93.85, 0.0, 106.15, 25.0)
        assert (square - cut).area < 1e-9
        open_end = cut | (box(93.85, -30, 106.15, 1) if mouth == 0.0 else box(93.85, 24, 106.15, 55))
        radius = 0.98 * cutter / 2
        reached = open_end.buffer(-radius, quad_segs=64).buffer(radius, quad_segs=64)
        inner = square.buffer(2) & box(0, 2, 200, 60) if mouth == 0.0 else square.buffer(2) & box(0, -60, 200, 23)
        assert ((open_end - reached) & inner).area < 0.05

    def test_relief_in_closed_form(self):
        """Each disc goes through its corner: half of it lies beyond the slot's two sides but for a right isosceles
        triangle: area beyond = pi r^2 / 2 - r^2."""
        r = 3.0
        cut = Slot(0.0, 25.0, 0.0, 12.3).cut(2 * r)
        assert cut.area - 12.3 * 25.0 == pytest.approx(2 * (math.pi * r**2 / 2 - r**2), rel=0.01)


class TestCradle:
    def test_a_round_body(self):
        """A disc of radius 200 above a plate: 1 mm off at the pad, 9 mm off elsewhere, and it lifts straight out."""
        disc = Point(0, 300).buffer(200, quad_segs=256)
        pad = Pad((0.0, 100.0), (0.0, -1.0), (0.0, 0.0, 100.0), (0.0, 0.0, -1.0))
        jig = JigTable(gap=1.0, relief=8.0, pad=40.0, cutter=6.0)
        shape = cradled(box(-300, 0, 300, 260), shapely.MultiPolygon([disc]), [Held(pad, 1.0)], jig)
        assert shape.distance(disc) == pytest.approx(1.0, abs=0.01)
        assert (shape - box(-40, 0, 40, 400)).distance(disc) == pytest.approx(9.0, abs=0.02)
        for height in (20, 100, 400):
            assert shapely.affinity.translate(disc, 0, height).intersection(shape).is_empty

    def test_a_sharp_sill(self):
        """Below a square corner no cutter leaves a square corner: the plate gives way, the body does not."""
        body = shapely.MultiPolygon([box(-200, 100, 200, 400)])
        pads = [Held(Pad((x, 100.0), (0.0, -1.0), (0.0, 0, 0), (0, 0, -1.0)), 1.0) for x in (-185.0, 185.0)]
        fence = Held(Pad((200.0, 110.0), (1.0, 0.0), (0.0, 0, 0), (0, 1.0, 0)), 1.0)
        jig = JigTable(gap=1.0, relief=8.0, pad=30.0, cutter=6.0)
        shape = cradled(box(-260, 0, 260, 250), body, [*pads, fence], jig)
        assert shape.distance(body) >= 0.98
        grown = shape.buffer(2.99, quad_segs=32).buffer(-2.99, quad_segs=32)
        assert (grown - shape).area < 0.5, "no inner corner is tighter than the cutter"


class TestSplice:
    def rail(self, length=4000.0):
        slots = [Slot(x, 75.0, 101.0, 12.3) for x in np.arange(200, length, 400)]
        outline = box(0, 0, length, 100)
        for slot in slots:
            outline -= slot.cut(6.0)
        return part("rail-left", outline, slots)

    def test_pieces_go_on_the_sheet_and_hold(self):
        """Each is shorter than the sheet; the gap between two is the fit; pulled apart by 3 mm they meet."""
        pieces = spliced(self.rail(), JIG)
        assert [piece.id for piece in pieces] == ["rail-left-1", "rail-left-2"]
        for piece in pieces:
            assert np.ptp(np.array(piece.outline.bounds).reshape(2, 2)[:, 0]) < 2440
        one, two = (piece.outline for piece in pieces)
        assert one.distance(two) == pytest.approx(0.15, abs=0.03)
        assert one.intersection(two).is_empty
        assert one.intersection(shapely.affinity.translate(two, 3.0)).area > 1.0
        assert sum(len(piece.slots) for piece in pieces) == len(self.rail().slots)
        assert one.area + two.area == pytest.approx(self.rail().outline.area, rel=0.002)

    def test_a_short_one_stays_whole(self):
        rail = self.rail(2000.0)
        assert [piece.id for piece in spliced(rail, JIG)] == ["rail-left-1"]
        assert spliced(rail, JIG)[0].outline.symmetric_difference(rail.outline).area < 1.0


class TestNesting:
    def test_on_sheets_and_apart(self):
        """Random rectangles: inside their sheets, no two nearer than the cutter, all there."""
        rng = np.random.default_rng(5)
        parts = tuple(part(f"p{n}", box(0, 0, *rng.uniform(60, 700, 2))) for n in range(30))
        laid = nest(parts, (1220.0, 2440.0), 6.0)
        placed = [(one.sheet, one.onto_sheet(p.outline)) for p, one in zip(parts, laid, strict=True)]
        assert [one.part for one in laid] == [p.id for p in parts]
        assert all(box(0, 0, 1220, 2440).contains(shape) for _, shape in placed)
        for (sheet, shape), (other, beside) in combinations(placed, 2):
            assert sheet != other or shape.distance(beside) >= 6.0
        for p, one in zip(parts, laid, strict=True):
            assert one.off_sheet(one.onto_sheet(p.outline)).equals_exact(p.outline, 1e-9)

    def test_turned_to_fit(self):
        laid = nest((part("long", box(0, 0, 2300, 90)),), (1220.0, 2440.0), 6.0)
        assert laid[0].turned

    def test_too_large(self):
        with pytest.raises(BadInput, match=r"jig\.sheet.*\n.*rail 2500 x 100"):
            nest((part("rail", box(0, 0, 2500, 100)),), (1220.0, 2440.0), 6.0)
