"""What is kept off: boxes at known distances, and a known way into one another."""

from types import SimpleNamespace

import numpy as np
import pytest

from sections.checks.keep_out import bolt_solid, check_bolts_keep_off, check_keep_outs
from sections.donor.kept_off import KeptOff
from sections.numbers.frame import Plane
from sections.settings.joints import BoltsTable, FlangeTable
from sections.solids.distance import MeshDistance
from sections.solids.print_solid import PrintSolid


def part():
    """A section: a box of 100 x 60 x 40 at the origin."""
    solid = PrintSolid.box(np.zeros(3), np.array([100.0, 60.0, 40.0]))
    return SimpleNamespace(id="X0", solid=solid, mesh=solid.mesh(), surface=MeshDistance(solid.mesh()))


def kept(low, high, gap=10.0):
    return KeptOff("tube", PrintSolid.box(np.array(low, float), np.array(high, float)).mesh(), gap)


def truth(*keep_outs):
    return SimpleNamespace(keep_outs=keep_outs)


RULES = SimpleNamespace(settings=SimpleNamespace(bolts=BoltsTable(size="M4"), flange=FlangeTable(thickness=6)))


@pytest.mark.parametrize(("gap", "found"), [(12.0, 0), (10.001, 0), (9.9, 1), (0.5, 1)])
def test_beside(gap, found):
    findings, measures = check_keep_outs(part(), truth(kept([100 + gap, 10, 10], [150 + gap, 50, 30])), RULES)
    assert [one.code for one in findings] == ["keep-out"] * found
    assert measures[0].value == pytest.approx(gap, abs=1e-6)
    assert all(one.where[0] >= 99.9 for one in findings), "reported where they are nearest"


@pytest.mark.parametrize("depth", [0.5, 4.0, 15.0])
def test_into_one_another(depth):
    """A corner of the section reaches `depth` into a long slab, along x alone."""
    findings, measures = check_keep_outs(part(), truth(kept([100 - depth, -500, -500], [600, 500, 500])), RULES)
    assert measures[0].value == pytest.approx(-depth) == findings[0].measured
    assert "into tube" in findings[0].text


def test_a_rod_right_through():
    """10 across, through a panel none of whose corners it holds: 5 deep, however coarse the panel; reported with no gap
    asked too."""
    rod = kept([45, 25, -100], [55, 35, 100], gap=0.0)
    findings, measures = check_keep_outs(part(), truth(rod), RULES)
    assert measures[0].value == pytest.approx(-5, abs=0.6) and len(findings) == 1


def test_all_of_it_inside_a_wall():
    """A small box within the section, its far side 20 below the top: reported, and deep."""
    findings, measures = check_keep_outs(part(), truth(kept([48, 28, 18], [52, 32, 22], gap=0.0)), RULES)
    assert len(findings) == 1 and measures[0].value == pytest.approx(-20, abs=2.1)


def test_all_of_the_section_inside():
    """A slab around the whole section, 50 off it at the nearest: its middle is 20 deeper at most."""
    findings, measures = check_keep_outs(part(), truth(kept([-50, -50, -50], [150, 110, 90], gap=0.0)), RULES)
    assert len(findings) == 1 and measures[0].value == pytest.approx(-50, abs=0.1)


def test_far_off_says_nothing():
    assert check_keep_outs(part(), truth(kept([300, 0, 0], [350, 60, 40])), RULES) == ([], [])


def test_each_by_its_own_gap():
    two = kept([103, 0, 0], [120, 60, 40], 2.0), kept([0, 63, 0], [100, 80, 40], 5.0)
    assert [one.limit for one in check_keep_outs(part(), truth(*two), RULES)[0]] == [5.0]


def joint(*, is_turned=True):
    frame = Plane((0.0, 0.0, 1.0), 50.0).frame()
    return SimpleNamespace(id="x1:A+B:bolt1", frame=frame, joint=SimpleNamespace(is_turned=is_turned))


def test_a_bolt_in_closed_form():
    """M4 through two flanges of 6: washers 9 across and up to 0.9 thick (ISO 7089), a nut 3.2 high (ISO 4032) and two
    turns of 0.7 take 18.4: a screw 20 long (ISO 4762). Its end stands 20 - 12 - 0.9 out of the other flange: more than
    its head, 4 high, on a washer."""
    low, high = bolt_solid(joint(), RULES.settings).bounds
    assert high[2] - 50 == pytest.approx(6 + 20 - 12 - 0.9) == 50 - low[2]
    assert high[0] == pytest.approx(4.5, abs=0.05)


@pytest.mark.parametrize(("off", "found"), [(10.1, 0), (9.0, 1), (-1.0, 1)])
def test_a_bolt_near_a_tube(off, found):
    """A slab `off` mm past the screw's end, 13.1 from the seam."""
    plan = SimpleNamespace(joints=[joint(), joint(is_turned=False)])
    slab = kept([-50, -50, 50 + 13.1 + off], [50, 50, 200])
    findings, measures = check_bolts_keep_off(plan, (slab,), RULES.settings)
    assert [one.part for one in findings] == ["x1:A+B:bolt1"] * found and len(measures) == 1
    assert measures[0].value == pytest.approx(off, abs=1e-6)
