"""Circles fitted, and the farthest of points: closed forms."""

import numpy as np
import pytest

from sections.numbers.circle import fit_circle
from sections.numbers.span import span


@pytest.mark.parametrize("count", [3, 4, 50])
def test_a_circle_through_its_own_points(count):
    angles = np.linspace(0.3, 2.1, count)
    centre, radius = fit_circle(np.array([400.0, -70.0]) + 6.25 * np.column_stack([np.cos(angles), np.sin(angles)]))
    assert centre == pytest.approx([400.0, -70.0], abs=1e-7) and radius == pytest.approx(6.25, abs=1e-7)


def test_three_points_of_a_right_triangle():
    """Thales: the circle about a right triangle has its longest side as diameter, 5 for 3 and 4."""
    centre, radius = fit_circle(np.array([[0.0, 0.0], [3.0, 0.0], [0.0, 4.0]]))
    assert radius == pytest.approx(2.5) and centre == pytest.approx([1.5, 2.0])


def test_a_polygon_of_a_hole():
    """Corners on the hole: the circle is the hole's, though the polygon lies within it by r (1 - cos(pi / n))."""
    angles = 2 * np.pi * np.arange(24) / 24
    assert fit_circle(2.15 * np.column_stack([np.cos(angles), np.sin(angles)]))[1] == pytest.approx(2.15)


def test_span_of_a_box():
    """The diagonal of a cuboid 1, 2, 2 is 3."""
    corners = np.array([[x, y, z] for x in (0, 1) for y in (0, 2) for z in (0, 2)], float)
    assert span(corners) == pytest.approx(3.0)
    assert span(corners[:1]) == 0.0 and span(corners[:0]) == 0.0


def test_span_of_very_many():
    """A ball's is its diameter; by some directions alone, to a part in a thousand."""
    points = np.random.default_rng(2).normal(size=(20_000, 3))
    points *= 50 / np.linalg.norm(points, axis=1, keepdims=True)
    assert 99.9 < span(points) <= 100.0
