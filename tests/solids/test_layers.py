"""Layers against closed forms: what stands, what hangs, what is bridged, where a part tips. FACTS: 45 deg, common
practice."""

import math

import numpy as np
import pytest
import trimesh

from sections.numbers.mesh import Mesh
from sections.solids.layers import STEP, layered
from sections.solids.print_solid import PrintSolid


def of(*boxes):
    """Return the union of (low, high) boxes."""
    made = [PrintSolid.box(np.array(low, float), np.array(high, float)) for low, high in boxes]
    return made[0].unite(made[1:])


def test_table():
    """A top of 100 x 60 on one leg of 20 x 60 at its end: all past the leg hangs, but for one step of 46 deg."""
    found = layered(of([(0, 0, 0), (20, 60, 50)], [(0, 0, 50), (100, 60, 60)]), 10.0)
    step = STEP * math.tan(math.radians(46))
    assert found.unsupported == pytest.approx((80 - step) * 60, rel=0.01)
    assert found.bridged == 0 and found.first == pytest.approx(1200)
    assert found.where == pytest.approx([60 + step / 2, 30, 50], abs=1.5)


@pytest.mark.parametrize("gap, bridged", [(9.0, True), (30.0, False)])
def test_bridge(gap, bridged):
    """A plate over a gap between two walls: spanned where it is no longer than a bridge may be."""
    solid = of([(0, 0, 0), (10, 80, 40)], [(10 + gap, 0, 0), (20 + gap, 80, 40)], [(0, 0, 40), (20 + gap, 80, 44)])
    found = layered(solid, 10.0)
    step = STEP * math.tan(math.radians(46))
    open_ = (gap - 2 * step) * 80
    assert (found.bridged, found.unsupported) == pytest.approx((open_, 0) if bridged else (0, open_), rel=0.03, abs=5)


@pytest.mark.parametrize("lean, hangs", [(30.0, False), (45.0, False), (60.0, True)])
def test_leaning_wall(lean, hangs):
    """A wall that leans out by 45 deg from the upright stands; by 60 deg every layer hangs by what it leans more."""
    out = 60 * math.tan(math.radians(lean))
    corners = [(x + z * out / 60, y, z) for x in (0, 10) for y in (0, 50) for z in (0, 60)]
    found = layered(PrintSolid.hull(np.array(corners, float)), 10.0)
    more = STEP * (math.tan(math.radians(lean)) - math.tan(math.radians(46)))
    layers = 60 / STEP - 1
    assert found.unsupported == pytest.approx(max(more, 0) * 50 * layers if hangs else 0.0, rel=0.02, abs=1e-6)


def test_ball():
    """What hangs of a ball of radius 40 by more than 46 deg, seen from below, is a disc of radius R cos 46 deg less
    what lies on the bed: closed form."""
    mesh = trimesh.creation.icosphere(5, 40.0)
    found = layered(PrintSolid.of(Mesh(np.array(mesh.vertices, float), np.array(mesh.faces, np.int64))), 1.0)
    radius = 40 * math.cos(math.radians(46))
    # Each layer's ring beyond the one below it, less the step it may lean out.
    heights = -40 + np.arange(STEP / 2, 80, STEP)
    disc = np.sqrt(np.maximum(40**2 - heights**2, 0))
    stands = disc[:-1] + STEP * math.tan(math.radians(46))
    rings = np.maximum(disc[1:] ** 2 - stands**2, 0).sum() * math.pi
    assert found.unsupported == pytest.approx(rings, rel=0.05)
    assert rings < math.pi * radius**2


@pytest.mark.parametrize("far", [60.0, 140.0])
def test_lean(far):
    """An L: a foot of 40 x 40, a top that reaches out. Centre of mass by hand."""
    solid = of([(0, 0, 0), (40, 40, 60)], [(0, 0, 60), (far, 40, 80)])
    found = layered(solid, 10.0)
    foot, top = 40 * 40 * 60, far * 40 * 20
    middle = (foot * 20 + top * far / 2) / (foot + top)
    assert found.middle[:2] == pytest.approx([middle, 20], abs=0.05)
    assert found.lean == pytest.approx(max(middle - 40, -20), abs=0.1)


def test_tips_before_it_is_done():
    """A part that reaches out to one side and, above that, back to the other: in the end its centre of mass is above
    its foot; half way it is not."""
    solid = of(
        [(0, 0, 0), (30, 30, 40)],
        [(0, 0, 40), (150, 30, 50)],
        [(0, 0, 50), (30, 30, 60)],
        [(-120, 0, 60), (30, 30, 70)],
    )
    found = layered(solid, 10.0)
    assert found.middle[0] == pytest.approx(15, abs=0.5)
    low, arm = 30 * 30 * 40, 150 * 30 * 10
    half_way = (low * 15 + arm * 75) / (low + arm)
    assert found.lean == pytest.approx(half_way - 30, abs=0.5)


def test_on_an_edge():
    """A plate on its edge, turned by 45 deg: it stands on a line, and its middle is above that."""
    turn = trimesh.transformations.rotation_matrix(math.pi / 4, [0, 1, 0])
    mesh = trimesh.creation.box((60, 40, 60))
    mesh.apply_transform(turn)
    found = layered(PrintSolid.of(Mesh(np.array(mesh.vertices, float), np.array(mesh.faces, np.int64))), 10.0)
    assert found.first < 40 * 0.3 and found.unsupported == 0
    assert abs(found.lean) < 0.5
