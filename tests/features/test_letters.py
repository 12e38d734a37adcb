"""Letters: as high as asked, strokes as wide as asked, every sign in one piece of plastic or its own."""

import numpy as np
import pytest
import shapely

from sections.features.letters import arrow_outline, end_on_outline, text_outline, text_width

SIGNS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789"


@pytest.mark.parametrize("sign", SIGNS)
def test_a_sign(sign):
    outline = text_outline(sign, 8.0, 1.2)
    _, low, right, high = outline.bounds
    assert (
        low == pytest.approx(0, abs=1e-9) and high == pytest.approx(8.0) and right <= text_width(sign, 8.0, 1.2) + 1e-9
    )
    assert outline.buffer(-0.58).area > 0, "nowhere thinner than its stroke all along"
    assert outline.buffer(-0.62, join_style="mitre").area < 0.35 * outline.area, "and no wider"


def test_all_signs_differ():
    """Two that print alike would be two names for one section."""
    drawn = {sign: text_outline(sign, 8.0, 1.2) for sign in SIGNS}
    same = [(a, b) for a in SIGNS for b in SIGNS if a < b and drawn[a].symmetric_difference(drawn[b]).area < 1.5]
    assert same == []


def test_a_line_is_as_wide_as_it_says():
    for text in ("X5Z2A0R", "A", "1-2"):
        assert text_outline(text, 8.0, 1.2).bounds[2] <= text_width(text, 8.0, 1.2) + 1e-9
    assert text_width("", 8.0, 1.2) == 0.0
    with pytest.raises(KeyError):
        text_outline("§", 8.0, 1.2)


def test_an_arrow_points_where_it_is_sent():
    """The head is the heavier end: the middle of its area lies forward of the middle of its length."""
    for angle in np.radians([0, 90, 200]):
        way = np.array([np.cos(angle), np.sin(angle)])
        arrow = arrow_outline(tuple(way), 10.0, 1.0)
        reach = shapely.get_coordinates(arrow) @ way
        assert (reach.min(), reach.max()) == pytest.approx((-5.0, 5.0), abs=1e-9)
        assert shapely.get_coordinates(arrow.centroid)[0] @ way > 0.5


def test_an_arrow_seen_end_on():
    """A point toward the reader, a cross away from him, both in a ring (as vectors are drawn square to a page)."""
    point, cross = (end_on_outline(10.0, 1.0, toward_viewer=toward) for toward in (True, False))
    assert point.contains(shapely.Point(0, 0)) and cross.contains(shapely.Point(0, 0))
    assert len(point.geoms) == 2, "the point stands free in its ring"
    assert cross.contains(shapely.Point(1.8, 1.8)) and not point.contains(shapely.Point(1.8, 1.8))
