"""Boxes that meet, and points in them, held against shapely's rectangles, seen from above and from the side."""

import numpy as np
import pytest
import shapely

from sections.numbers.bounds import boxes_meet, in_box


def flat(box, axes):
    low, high = np.asarray(box)[:, axes]
    return shapely.box(*low, *high)


def test_two_boxes():
    """Random ones: they meet where their rectangles overlap from above and from the side, grown by the distance."""
    rng, met = np.random.default_rng(2), 0
    for _ in range(300):
        one, other = (np.sort(rng.uniform(0, 10, (2, 3)), axis=0) for _ in range(2))
        within = rng.choice([0.0, 1.5])
        grown = one + np.array([[-within], [within]])
        wanted = all(flat(grown, axes).intersection(flat(other, axes)).area > 0 for axes in ([0, 1], [1, 2]))
        assert boxes_meet(one, other, within) == boxes_meet(other, one, within) == wanted
        met += wanted
    assert 50 < met < 250


def test_boxes_that_only_touch():
    one = np.array([[0.0, 0, 0], [1, 1, 1]])
    assert not boxes_meet(one, one + [1.0, 0, 0]) and boxes_meet(one, one + [1.0, 0, 0], within=1e-6)


@pytest.mark.parametrize("beyond", [0.0, 0.7])
def test_points(beyond):
    points = np.random.default_rng(3).uniform(-2, 5, (500, 3))
    box = np.array([[0.0, 1, 0], [2, 3, 4]])
    wanted = np.ones(500, bool)
    for axes in ([0, 1], [1, 2]):
        grown = flat(box + np.array([[-beyond], [beyond]]), axes)
        wanted &= shapely.contains_properly(grown, shapely.points(points[:, axes]))
    assert (in_box(points, box, beyond) == wanted).all() and 10 < wanted.sum() < 300
