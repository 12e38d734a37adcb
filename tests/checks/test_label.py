"""The mark of a section is read from its own wall, however close the wall opposite is."""

from types import SimpleNamespace

import numpy as np
import pytest

from sections.building.section import Bare, Toolbox, make_section
from sections.checks.built_parts import BodyTruth, BuiltSection
from sections.checks.label import check_label
from sections.features.label import Label
from sections.numbers.frame import Frame
from sections.plan.model import PlannedSection
from sections.solids.distance import MeshDistance
from sections.solids.print_solid import PrintSolid


@pytest.mark.parametrize(("gap", "rows"), [(4.0, 1), (9.0, 1), (9.0, 2), (40.0, 1), (40.0, 3)])
def test_thin_hollow(gap, rows):
    """A closed box with walls 2.4 thick and a hollow `gap` high: its mark stands 0.8 off; without the mark, 0."""
    low, high = np.array([-60.0, -30.0, -2.4]), np.array([60.0, 30.0, gap + 2.4])
    block = PrintSolid.box(low, high)
    wall = block.cut([PrintSolid.box(low + 2.4, high - 2.4)])
    label = Label("X7Z0Y8", 8.0 if rows == 1 else 6.0, 1.0, 0.8, rows == 1, rows)
    frame = Frame((0.0, 0.0, 0.0), (1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0))
    pose = Frame((0.0, 0.0, 0.0), (1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0))
    section = PlannedSection("X7Z0Y8", None, (), pose, (1.0, 1.0, 1.0), "", label, frame)
    made = make_section(section, Bare(wall, block), (), (), Toolbox({}, {}, {}))
    truth = BodyTruth(MeshDistance(block.mesh()), (), np.empty((0, 3)))
    rules = SimpleNamespace(settings=SimpleNamespace(wall=SimpleNamespace(thickness=2.4)))
    found, measures = check_label(BuiltSection(section, made.mesh(), {}, ()), truth, rules)
    assert not found and measures[0].value == pytest.approx(0.8, abs=0.01)
    found, _ = check_label(BuiltSection(section, wall.mesh(), {}, ()), truth, rules)
    assert [one.code for one in found] == ["label-relief"]


@pytest.mark.parametrize(("depth", "codes"), [(0.8, []), (0.7, []), (0.6, ["label-relief"]), (0.0, ["label-relief"])])
def test_sunk_into_a_seam_face(depth, codes):
    """A plate whose mark, 0.8 deep asked, is sunk as deep as said: read as such, and reported from 0.15 off on."""
    plate = PrintSolid.box(np.array([-30.0, -20.0, -6.0]), np.array([30.0, 20.0, 0.0]))
    label = Label("X7Z0Y8", 6.0, 1.0, 0.8, False, 2, True)
    frame = Frame((0.0, 0.0, 0.0), (1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0))
    section = PlannedSection("X7Z0Y8", None, (), frame, (1.0, 1.0, 1.0), "", label, frame)
    made = plate.sunk(label.outline(frame), frame, depth) if depth else plate
    truth = BodyTruth(MeshDistance(plate.mesh()), (), np.empty((0, 3)))
    found, measures = check_label(BuiltSection(section, made.mesh(), {}, ()), truth, SimpleNamespace())
    assert [one.code for one in found] == codes and measures[0].value == pytest.approx(depth, abs=1e-6)
