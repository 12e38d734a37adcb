"""The exact solids features are made of: volumes and lengths in closed form."""

import math

import pytest

from sections.features.shapes import (
    bar,
    cylinder,
    long_turned,
    slot_bar,
    standoff,
    tapered,
    turned,
    united,
    upright_prism,
)  # fmt: skip


def frustum(one, two, high):
    """Volume of a frustum: h / 3 (a + b + sqrt(a b)), a and b the areas of its ends."""
    return high / 3 * (one + two + math.sqrt(one * two))


def test_a_round_bar():
    assert cylinder(2.5, -3.0, 9.0).Volume() == pytest.approx(math.pi * 2.5**2 * 12)


def test_a_bar_of_slot_outline():
    """A slot's outline: its width times what is straight, and a circle."""
    solid = slot_bar(20.0, 6.0, 0.0, 4.0)
    assert solid.Volume() == pytest.approx((14 * 6 + math.pi * 9) * 4)
    assert solid.BoundingBox().xlen == pytest.approx(20.0)


def test_turned():
    """Pappus: a profile's area times the way of its middle. A rectangle 2 x 5 whose middle is 4 off the axis."""
    ring = turned([(3.0, 0.0), (5.0, 0.0), (5.0, 5.0), (3.0, 5.0)])
    assert ring.Volume() == pytest.approx(2 * 5 * 2 * math.pi * 4)


def test_turned_and_drawn_out():
    """A cone of radius 3, 6 high, drawn out by 2 each way: the cone, and a triangle's prism 4 long."""
    solid = long_turned([(0.0, 0.0), (3.0, 0.0), (0.0, 6.0)], 2.0)
    assert solid.Volume() == pytest.approx(math.pi * 9 * 6 / 3 + 0.5 * 6 * 6 * 4, rel=1e-6)


@pytest.mark.parametrize("slope", [0.0, 0.1])
def test_tapered(slope):
    """Straight to the seam, then falling in on all sides."""
    tip = (20 - 2 * slope * 6, 8 - 2 * slope * 6, 6.0)
    solid = tapered([(20.0, 8.0, -1.0), (20.0, 8.0, 0.0), tip])
    exact = 20 * 8 * 1 + sum(w * (20 - 2 * slope * z) * (8 - 2 * slope * z) for z, w in ((0, 1), (3, 4), (6, 1)))
    assert solid.isValid() and solid.Volume() == pytest.approx(exact, rel=1e-9), "Simpson's rule is exact here"
    box = solid.BoundingBox()
    assert (box.zmin, box.zmax) == pytest.approx((-1.0, 6.0))


def test_united_is_one_or_refused():
    one, near, far = cylinder(2.0, 0.0, 5.0), cylinder(2.0, 5.0, 8.0), cylinder(2.0, 9.0, 12.0)
    assert united(one, near).Volume() == pytest.approx(math.pi * 4 * 8)
    with pytest.raises(ValueError, match="2 solids"):
        united(one, far)


def test_bars_and_prisms():
    assert bar((0.0, 3.0), (-1.0, 1.0), (2.0, 7.0)).Volume() == pytest.approx(3 * 2 * 5)
    prism = upright_prism([(0.0, 0.0), (4.0, 0.0), (0.0, -3.0)], 5.0, 30.0)
    assert prism.Volume() == pytest.approx(0.5 * 4 * 3 * 5)


def test_a_standoff():
    """Its cone at the foot is a frustum; above it a plain bar; its root a bar too, or more."""
    outer, height, cone = 10.0, 20.0, 3.0
    solid = standoff(outer, height, cone, 4.0, 0.0)
    area = math.pi * 25
    above = area * (height - cone) + frustum(area, math.pi * 64, cone)
    assert above < solid.Volume() <= above + math.pi * 64 * 4 + 1e-6
    assert solid.BoundingBox().zlen == pytest.approx(24.0)
