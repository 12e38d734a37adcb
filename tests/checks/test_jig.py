"""The checks of a jig: a sound part passes, one spoilt by a known amount does not."""

from dataclasses import replace

import numpy as np
import pytest
import shapely
from shapely import box

from sections.checks.jig import (
    BuiltSheetPart,
    check_clear,
    check_location,
    check_pad,
    check_sheet_slots,
    check_splice,
    check_template,
)
from sections.jig.locating import Contact
from sections.jig.model import PlannedSheetPart
from sections.jig.nesting import Laid
from sections.jig.sheet_part import Slot
from sections.jig.stations import ACROSS
from sections.numbers.frame import make_frame
from sections.settings.jig import JigTable
from sections.solids.distance import MeshDistance
from sections.solids.print_solid import PrintSolid
from tests.jig.test_locating import block

JIG = JigTable(thickness=12, fit=0.15, pad=40, gap=1.0, cutter=6)
LAID = Laid("saddle-1", 1, False, (0.0, 0.0))


class Block:
    """A section that is a box: 200 to 800 in x, 400 wide, from z = 300 on."""

    id = "X0"

    def __init__(self):
        self.solid = PrintSolid.box(np.array([200.0, -200.0, 300.0]), np.array([800.0, 200.0, 400.0]))
        self.mesh = self.solid.mesh()
        self.surface = MeshDistance(self.mesh)


def saddle(outline, x=500.0, slots=()):
    frame = make_frame(np.array([x, 0.0, 0.0]), ACROSS)
    return BuiltSheetPart(PlannedSheetPart("saddle-1", frame, 12.0, LAID, tuple(slots)), outline)


def plate(top=299.0):
    """A plate below the block, its edge at z = top."""
    return box(-300, 90, 300, top)


SLOT = Slot(-100.0, 115.0, 89.0, 12.3)


class TestSlots:
    @pytest.mark.parametrize(("wider", "deeper", "found"), [
        (0.0, 0.0, 0), (0.01, 0.01, 0), (0.03, 0.0, 1), (-0.03, 0.0, 1), (0.0, 0.03, 1), (0.1, 0.1, 2),
    ])  # fmt: skip
    def test_width_and_end(self, wider, deeper, found):
        """0.02 mm are let pass, of the width asked, 12 + 2 x 0.15, and of where it ends."""
        made = Slot(SLOT.middle, SLOT.end + deeper, SLOT.mouth, SLOT.width + wider).cut(JIG.cutter)
        findings, measures = check_sheet_slots(saddle(plate() - made, slots=[SLOT]), JIG)
        assert [one.code for one in findings] == ["jig-slot"] * found
        assert measures[0].value == pytest.approx(12.3 + wider) and measures[1].value == pytest.approx(115 + deeper)

    def test_no_slot_at_all(self):
        codes = [one.code for one in check_sheet_slots(saddle(plate(), slots=[SLOT]), JIG)[0]]
        assert codes == ["jig-slot", "jig-slot", "blocked"]

    @pytest.mark.parametrize(("thick", "found"), [(12.6, 1), (11.9, 0)])
    def test_a_slot_narrower_at_its_mouth(self, thick, found):
        """A slot as wide and deep as asked, but for a lip 2 mm high at its mouth: 0.3 mm of it stand in the way of a
        sheet of 12 on either side, or none."""
        narrow = (24 - thick) / 2
        made = SLOT.cut(JIG.cutter) - box(-200, 88, -100 - narrow, 92) - box(-100 + narrow, 88, 0, 92)
        findings = check_sheet_slots(saddle(plate() - made, slots=[SLOT]), JIG)[0]
        assert [one.code for one in findings] == ["blocked"] * found
        if found:
            assert findings[0].measured == pytest.approx(2 * 0.3 * 2.0, abs=0.05)


class TestClear:
    @pytest.mark.parametrize(("top", "found"), [(299.0, 0), (300.0, 0), (300.1, 1)])
    def test_a_section(self, top, found):
        """Where the plate reaches 0.1 mm into the block: 400 x 12 x 0.1 = 480 mm3."""
        findings, measures = check_clear(saddle(plate(top)), [Block()], [])
        assert [one.code for one in findings] == ["jig-clash"] * found
        assert measures[0].value == pytest.approx(4800 * max(0, top - 300), rel=1e-6)

    def test_another_part(self):
        other = replace(saddle(plate()), planned=replace(saddle(plate(), 505.0).planned, id="saddle-2"))
        assert [one.code for one in check_clear(saddle(plate()), [], [other])[0]] == ["jig-clash"]


class TestPad:
    CONTACT = Contact("saddle-1:left", (500.0, -50.0, 300.0), (0.0, 0.0, -1.0), "z", 1.0)

    @pytest.mark.parametrize(("top", "found"), [(299.0, 0), (299.19, 0), (298.81, 0), (299.3, 1), (298.7, 1)])
    def test_the_gap(self, top, found):
        """1 mm asked, 0.1 mm and the skin's deviation of 0.1 mm let pass."""
        findings, measures, held = check_pad(self.CONTACT, saddle(plate(top)), [Block()], JIG, 0.1)
        assert [one.code for one in findings] == ["jig-pad"] * found
        assert measures[0].value == pytest.approx(300 - top, abs=1e-6) and held == "X0"

    def test_nothing_there(self):
        findings, measures, held = check_pad(self.CONTACT, saddle(plate()), [], JIG, 0.1)
        assert [one.measured for one in findings] == [None] and not measures and not held


class TestSplice:
    @pytest.mark.parametrize(("gap", "found"), [(0.15, 0), (0.165, 0), (0.2, 1), (0.1, 1)])
    def test_the_gap(self, gap, found):
        """A tail of 30 x 40 in its socket, `gap` all round."""
        tail = box(0, 0, 100, 100) | box(90, 30, 130, 70)
        socket = box(50, 0, 300, 100) - tail.buffer(gap, join_style="mitre")
        one, two = saddle(tail), saddle(socket)
        findings, measures = check_splice(one, [two], JIG)
        assert [f.code for f in findings] == ["jig-splice"] * found
        assert measures[0].value == pytest.approx(gap)

    def test_other_rails_are_left_alone(self):
        assert check_splice(saddle(plate()), [saddle(plate(), 600.0)], JIG) == ([], [])
        far = saddle(shapely.affinity.translate(plate(), 700))
        assert check_splice(saddle(plate()), [far], JIG) == ([], [])


class TestTemplate:
    """Beside the block of test sections, whose face is at y = 200."""

    def part(self, edge, follows=1.0):
        made = saddle(box(edge, 300, edge + 60, 400))
        return replace(made, planned=replace(made.planned, follows=follows))

    @pytest.mark.parametrize(("gap", "found"), [(1.0, 0), (1.15, 0), (0.85, 0), (1.3, 1), (0.7, 1)])
    def test_the_gap(self, gap, found):
        """100 of 320 mm of outline follow the face; 0.1 mm and the skin's deviation of 0.1 mm are let pass."""
        findings, measures = check_template(self.part(200 + gap), [Block()], 0.1)
        assert [one.code for one in findings] == ["jig-template"] * found
        assert measures[0].value == pytest.approx(gap, abs=1e-6)

    def test_too_little_skin(self):
        """Half above the block's top: 50 of 320 mm follow it."""
        made = saddle(box(201, 350, 261, 450))
        part = replace(made, planned=replace(made.planned, follows=1.0))
        assert [one.code for one in check_template(part, [Block()], 0.1)[0]] == ["jig-template"]

    def test_no_section(self):
        assert [one.measured for one in check_template(self.part(201), [], 0.1)[0]] == [None]

    def test_other_parts_are_left_alone(self):
        assert check_template(self.part(300, None), [Block()], 0.1) == ([], [])


class TestLocation:
    def test_six(self):
        assert check_location(tuple(block()))[0] == []

    @pytest.mark.parametrize("spoil", ["five", "seven", "in a line"])
    def test_not_six(self, spoil):
        six = block()
        contacts = {
            "five": six[1:],
            "seven": [*six, Contact("more", (900.0, -400.0, 0.0), (0.0, 0.0, -1.0), "z", 1.0)],
            "in a line": [six[0], six[1], Contact("b", (0.0, 100.0, 0.0), (0.0, 0.0, -1.0), "z", 1.0), *six[3:]],
        }[spoil]
        assert [one.code for one in check_location(tuple(contacts))[0]] == ["jig-location"]

    def test_supports_do_not_count(self):
        support = Contact("s", (900.0, -400.0, 0.0), (0.0, 0.0, -1.0), "", 2.0)
        assert check_location((*block(), support))[0] == []
