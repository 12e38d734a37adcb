"""A raised mark stays inside the body where the section holds another wall close by."""

import numpy as np
import pytest

from sections.building.section import Bare, Toolbox, make_section
from sections.features.label import Label
from sections.numbers.frame import Frame
from sections.plan.model import PlannedSection
from sections.solids.print_solid import PrintSolid


def box(low, high):
    return PrintSolid.box(np.array(low, float), np.array(high, float))


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
