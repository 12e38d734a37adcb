"""Sections that no joint holds, and closed hollows: graphs and boxes by hand."""

from types import SimpleNamespace

import numpy as np
import pytest

from sections.checks.built_parts import BuiltSection
from sections.checks.held import check_held
from sections.checks.solid import check_solid
from sections.numbers.frame import Frame
from sections.plan.model import PlannedSection
from sections.settings import Settings
from sections.solids.print_solid import PrintSolid

LEVEL = Frame((0.0, 0.0, 0.0), (1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0))


def plan(sections, joints):
    """A plan of sections, "X0" or "X0/hatch" for one of a panel, and of joints, "X0 X1"."""
    named = [SimpleNamespace(id=one.split("/")[0], panel=one.partition("/")[2]) for one in sections]
    ties = [SimpleNamespace(minus=one.split()[0], plus=one.split()[1]) for one in joints]
    return SimpleNamespace(sections=named, joints=ties)


@pytest.mark.parametrize(
    ("sections", "joints", "loose"),
    [
        (["X0"], [], []),
        (["X0", "X1", "X2"], ["X0 X1", "X1 X2"], []),
        (["X0", "X1", "X2"], ["X0 X1", "X0 X1"], ["X2"]),
        (["X0", "X1", "X2", "X3", "X4"], ["X0 X1", "X1 X2", "X3 X4"], ["X3", "X4"]),
        # A panel of one is held by its hinges; joints between body and panel are none of its own.
        (["X0", "X1", "P0/hatch"], ["X0 X1"], []),
        (["X0", "X1", "P0/hatch", "P1/hatch"], ["X0 X1"], ["P1"]),
    ],
)
def test_what_hangs_on_nothing(sections, joints, loose):
    asked = plan(sections, joints)
    middles = {one.id: np.array([float(n), 0.0, 0.0]) for n, one in enumerate(asked.sections)}
    findings, measures = check_held(middles, asked)
    assert [(one.code, one.level, one.part) for one in findings] == [("held-by-nothing", "fault", one) for one in loose]
    assert measures[0].value == len(loose)


@pytest.mark.parametrize(("side", "found"), [(30.0, True), (5.1, True), (4.9, False)])
def test_a_closed_hollow(side, found):
    """A cube of 50 with a cube of this side taken out of its middle: more than 125 mm3 are reported."""
    cube, half = PrintSolid.box(np.zeros(3), np.full(3, 50.0)), side / 2
    made = cube.cut([PrintSolid.box(np.full(3, 25.0 - half), np.full(3, 25.0 + half))]).mesh()
    section = PlannedSection("X0", None, (), LEVEL, (50.0, 50.0, 50.0), "", None, None)
    rules = SimpleNamespace(settings=Settings.model_validate({"name": "x", "body": {"file": "x.stl", "units": "mm"}}))
    findings, measures = check_solid(BuiltSection(section, made, {}, (), None), None, rules)
    assert [one.code for one in findings] == (["sealed-void"] if found else [])
    if found:
        assert findings[0].measured == pytest.approx(side**3) and findings[0].where == pytest.approx((25, 25, 25))
    assert {one.name: one.value for one in measures}["pieces"] == 1
