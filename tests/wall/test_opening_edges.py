"""Collars and rebates in closed form: a cube of 200 with a flat top, walls cut in it, volumes by hand; both solids."""

import cadquery as cq
import pytest

from sections.errors import BuildFailed
from sections.solids.distance import MeshDistance
from sections.solids.exact_solid import ExactSolid
from sections.solids.growing import grown
from sections.solids.print_solid import PrintSolid
from sections.wall.carve import carve, grown_body
from sections.wall.depth import DepthRule
from sections.wall.opening_edges import Collar, Cutter

BODY = PrintSolid.box((-100, -100, -200), (100, 100, 0))
CELL = PrintSolid.box((-50, -50, -60), (50, 50, 0))
SKIN = MeshDistance(BODY.mesh())
RULE = DepthRule(4.0, 4.0, 1.0, 45.0, ())


def box(half, low=-30.0, high=10.0):
    return PrintSolid.box((-half, -half, low), (half, half, high))


def volume(cutter):
    made = carve(CELL, SKIN, RULE, 4.0, [cutter])
    assert len(made.pieces) == 1
    return PrintSolid.of(made.pieces[0]).volume_mm3


def test_a_return_flange():
    """An opening of 40 x 40, a rim 5 thick and 12 high: the plate of 4 less the opening, and a frame of 50 x 50 less
    40 x 40, 8 deeper than the plate."""
    cutter = Cutter("window", box(20), Collar(12.0, box(25)))
    assert volume(cutter) == pytest.approx(4 * (100**2 - 40**2) + 8 * (50**2 - 40**2), rel=1e-4)


def test_a_rebate():
    """A pane of 5 on a bead of 3, a bond flange 10 wide and 4 thick: the plate less the opening; the frame outside the
    opening from 4 to 12 deep; within it from 8 to 12 deep, less the hole of 20 x 20."""
    cutter = Cutter("pane", box(20), Collar(12.0, box(25), 8.0, box(10)))
    expected = 4 * (100**2 - 40**2) + 8 * (50**2 - 40**2) + 4 * (40**2 - 20**2)
    assert volume(cutter) == pytest.approx(expected, rel=1e-4)


def test_a_panel_in_a_gap():
    """A gap 4 wide cut round a panel of 32 x 32, both with a rim 5 thick and 12 high: two pieces."""
    gap = box(20).cut([box(16, -40, 20)])
    around = box(25).cut([box(11, -40, 20)])
    made = carve(CELL, SKIN, RULE, 4.0, [Cutter("hatch", gap, Collar(12.0, around))])
    volumes = sorted(PrintSolid.of(piece).volume_mm3 for piece in made.pieces)
    panel = 4 * 32**2 + 8 * (32**2 - 22**2)
    assert volumes == [
        pytest.approx(panel, rel=1e-4),
        pytest.approx(4 * (100**2 - 40**2) + 8 * (50**2 - 40**2), rel=1e-4),
    ]


@pytest.mark.parametrize("by", [0.3, 4.2])
def test_the_body_grown(by):
    """Half of a cube's top, grown: as much higher."""
    near = PrintSolid.box((-20, -20, -10), (20, 20, 10))
    made = grown_body(near, SKIN, by, 4.0).common(near)
    assert made.volume_mm3 == pytest.approx(40 * 40 * (10 + by), rel=1e-3)


@pytest.mark.parametrize("by", [3.0, -5.0])
def test_a_solid_moved_out_and_in(by):
    """A block of 60 x 40 x 30 with upright corners rounded by 12: its outline offset has the closed area
    (a + 2 by)(b + 2 by) - (4 - pi)(r + by)^2."""
    import math

    block = cq.Workplane("XY").box(60, 40, 30).edges("|Z").fillet(12).val()
    made = grown(ExactSolid(block.wrapped), by, "block")
    area = (60 + 2 * by) * (40 + 2 * by) - (4 - math.pi) * (12 + by) ** 2
    assert made.volume_mm3 == pytest.approx(area * (30 + 2 * by), rel=1e-6)


def test_corners_tighter_than_the_move_are_reported():
    block = cq.Workplane("XY").box(60, 40, 30).edges("|Z").fillet(4).val()
    with pytest.raises(BuildFailed, match="block"):
        grown(ExactSolid(block.wrapped), -6.0, "block")
