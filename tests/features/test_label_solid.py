"""A raised mark stays inside the body where the section holds another wall close by."""

import numpy as np
import pytest

from sections.building.section import Bare, Toolbox, make_section, with_label
from sections.features.label import Label
from sections.numbers.frame import Frame
from sections.plan.model import PlannedSection
from sections.solids.print_solid import PrintSolid


def box(low, high):
    return PrintSolid.box(np.array(low, float), np.array(high, float))


@pytest.mark.parametrize(
    ("text", "rows", "lines"),
    [
        ("Z10Y48A49", 1, ("Z10Y48A49",)), ("Z10Y48A49", 2, ("Z10", "Y48A49")), ("Z10Y48A49", 3, ("Z10", "Y48", "A49")),
        ("X0R", 3, ("X0", "R")), ("X3Z51.C", 2, ("X3", "Z51.C")), ("Z0C-HATCH", 2, None), ("X1", 4, ("X1",)),
    ],
)  # fmt: skip
def test_lines(text, rows, lines):
    """An id is parted before capitals, none of its lines longer than need be; put together they are the id."""
    label = Label(text, 6.0, 1.0, 0.8, False, rows)
    assert "".join(label.lines) == text and (lines is None or label.lines == lines)
    # Letters 6 high, 3 between lines.
    assert label.size[1] == 6.0 * len(label.lines) + 3.0 * (len(label.lines) - 1)
    low_x, low_y, high_x, high_y = label.outline(Frame((0.0, 0, 0), (1.0, 0, 0), (0.0, 1, 0), (0.0, 0, 1))).bounds
    assert high_x - low_x <= label.size[0] + 1e-9 and high_y - low_y == pytest.approx(label.size[1], abs=1e-9)


@pytest.mark.parametrize("gap", [2.0, 12.0])
def test_two_walls(gap):
    """Two plates 4 mm thick, joined at one end; the mark on the lower one's upper face. Volume of a prism: the
    outline's area times the relief of 0.8."""
    plates = [box((-50, -30, 0), (50, 30, 4)), box((-50, -30, -4 - gap), (50, 30, -gap))]
    solid = plates[0].unite([plates[1], box((40, -30, -4 - gap), (50, 30, 4))])
    label = Label("A1B2", 8.0, 1.0, 0.8, True)
    frame = Frame((0.0, 0.0, 4.0), (1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0))
    section = PlannedSection("A1B2", None, (), frame, (1.0, 1.0, 1.0), "", label, frame)
    space = box((-50, -30, 4), (50, 30, 40))
    bare = Bare(solid, solid.unite([space]))
    made = make_section(section, bare, (), (), Toolbox({}, {}, {}))
    assert made.volume_mm3 - solid.volume_mm3 == pytest.approx(0.8 * label.outline(frame).area, rel=1e-4)
    assert made.cut([bare.block]).volume_mm3 == pytest.approx(0, abs=1e-6)


@pytest.mark.parametrize("gap", [4.5, 8.0, 15.0])
def test_holes_in_what_hangs_over(gap):
    """A flange hangs over the mark and has been bored through since: the hole stays open. A bar through it meets
    nothing; the mark is as high as asked."""
    wall = box((-50, -30, 0), (50, 30, 4)).unite(
        [box((-50, -30, 4 + gap), (50, 30, 10 + gap)), box((40, -30, 0), (50, 30, 10 + gap))]
    )
    bores = [box((x - 2, y - 2, 3.9 + gap), (x + 2, y + 2, 11 + gap)) for x in (-15, 0, 15) for y in (-6, 0, 6)]
    label = Label("X4Z2Y13", 8.0, 1.0, 0.8, True)
    frame = Frame((0.0, 0.0, 4.0), (1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0))
    section = PlannedSection("X4Z2Y13", None, (), frame, (1.0, 1.0, 1.0), "", label, frame)
    made = with_label(section, wall.cut(bores), Bare(wall, box((-50, -30, 0), (50, 30, 40))))
    assert made.volume_mm3 - wall.cut(bores).volume_mm3 == pytest.approx(0.8 * label.outline(frame).area, rel=1e-4)
    assert all(made.common(bore).volume_mm3 == pytest.approx(0, abs=1e-6) for bore in bores)
