"""What plastic carries around a bolt or an insert, against worked examples."""

import math

import pytest
import shapely

from sections.standards import insert
from sections.standards.strength import bearing_area, lip_thickness, pull_out


def test_washer_seat():
    """M6: washer 12 on a 6.6 hole is 78.9 mm2; 500 N on it are 6.3 MPa (worked after the form pi/4 (d2^2 - d0^2),
    strokeforge.tech, engineering note 002)."""
    assert bearing_area(12, 6.6) == pytest.approx(78.9, abs=0.05)
    assert 500 / bearing_area(12, 6.6) == pytest.approx(6.3, abs=0.05)


@pytest.mark.parametrize(("washer", "hole"), [(12, 6.6), (16, 9), (7, 3.4)])
def test_washer_over_a_slot(washer, hole):
    """The circle less a strip, by another library's areas."""
    strip = shapely.box(-washer, -hole / 2, washer, hole / 2)
    left = shapely.Point(0, 0).buffer(washer / 2, 2000) - strip
    assert bearing_area(washer, hole, 2 * washer) == pytest.approx(left.area, rel=1e-5)


def test_pull_out():
    """An M4 insert 6.3 across its knurl and 8.2 long: pi 6.3 8.2 = 162.3 mm2 shear at 8 / sqrt 3 = 4.62 MPa, 750 N
    (any book on the strength of materials, from memory)."""
    assert pull_out(insert("M4"), 8.0) == pytest.approx(749.6, abs=0.5)


def test_lip():
    """Two planes 12 long, 300 N, 4.62 MPa: 2.71 mm."""
    assert lip_thickness(300, 12, 8.0) == pytest.approx(300 / (24 * 8 / math.sqrt(3)))
    assert lip_thickness(300, 12, 8.0) == pytest.approx(2.71, abs=0.01)
