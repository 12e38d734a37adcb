"""Cross-sections against the closed forms of any book on the strength of materials (from memory)."""

import math

import numpy as np
import pytest
import shapely
from shapely import affinity

from sections.numbers.cross_section import CrossSection


def test_a_rectangle():
    """b h; bent any way the corner has M_x / (b h^2 / 6) + M_y / (h b^2 / 6), at most the hypotenuse of the two."""
    made = CrossSection.of(shapely.box(0, 0, 10, 20))
    assert made.area == pytest.approx(200)
    assert made.modulus == pytest.approx(1 / math.hypot(6 / (10 * 400), 6 / (20 * 100)))


@pytest.mark.parametrize("inner", [0.0, 6.0])
def test_a_round_tube(inner):
    """pi (D^4 - d^4) / (32 D), wherever it lies."""
    ring = shapely.Point(40, -25).buffer(10, 512) - (
        shapely.Point(40, -25).buffer(inner, 512) if inner else shapely.Point()
    )
    made = CrossSection.of(ring)
    assert made.area == pytest.approx(math.pi * (100 - inner**2), rel=1e-4)
    assert made.modulus == pytest.approx(math.pi * (20**4 - (2 * inner) ** 4) / (32 * 20), rel=1e-3)
    assert made.middle == pytest.approx([40, -25])


def test_two_flanges_apart():
    """Parallel axes: two 10 x 2 strips 20 apart have I = 2 (10 2^3 / 12 + 20 10^2) about the line between them."""
    pair = shapely.union_all([shapely.box(-5, y - 1, 5, y + 1) for y in (-10, 10)])
    about_x, about_y = 2 * (10 * 8 / 12 + 20 * 100), 2 * (2 * 1000 / 12)
    assert CrossSection.of(pair).modulus == pytest.approx(1 / math.hypot(11 / about_x, 5 / about_y))


def test_turning_changes_nothing():
    shape = shapely.Polygon([(0, 0), (30, 0), (30, 4), (6, 9), (4, 25), (0, 25)])
    turned = affinity.rotate(shape, 37)
    assert CrossSection.of(turned).modulus == pytest.approx(CrossSection.of(shape).modulus)


def test_the_worst_way_to_bend_is_taken():
    """No direction of a unit moment stresses any corner more than reported; one comes as far."""
    shape = shapely.Polygon([(0, 0), (30, 0), (30, 4), (6, 9), (4, 25), (0, 25)])
    made = CrossSection.of(shape)
    places = shapely.get_coordinates(shape) - made.middle
    grid = np.random.default_rng(3).uniform([0, 0], [30, 25], (400_000, 2))
    inside = grid[shapely.contains_xy(shape, *grid.T)] - made.middle
    second = shape.area * (inside.T @ inside) / len(inside)
    ways = np.linspace(0, 2 * np.pi, 720)
    stress = (places @ np.linalg.solve(second, np.array([np.cos(ways), np.sin(ways)]))).max()
    assert stress == pytest.approx(1 / made.modulus, rel=0.01)
