"""The print pose: least support first, the first printer that fits, in closed form."""

import numpy as np
import pytest

from sections.plan.pose import Bed, Down, Outside, choose_pose

BOX = np.array([[x, y, z] for x in (0, 100) for y in (0, 60) for z in (0, 40)], float)
SMALL, LARGE = Bed((80, 80, 80), (5, 5), "small"), Bed((200, 200, 200), (5, 5), "large")
DOWNS = [Down("below", np.array([0.0, 0, -1]), 6000.0), Down("behind", np.array([0.0, -1, 0]), 4000.0)]


def test_least_support_before_the_largest_face():
    """Skin that looks down where it stands on its largest face hangs over; stood on its side it is upright."""
    down = Outside(np.tile([0.0, 0, -1], (50, 1)), 120.0)
    pose = choose_pose(BOX, DOWNS, (LARGE,), down)
    assert (pose.down, pose.support, pose.stepped) == ("behind", 0, 0)
    assert choose_pose(BOX, DOWNS[:1], (LARGE,), down).support == pytest.approx(6000)


@pytest.mark.parametrize(("lean", "hangs"), [(44.0, 0), (46.0, 6000)])
def test_overhang_of_45_degrees(lean, hangs):
    """Skin that leans out by less than 45 degrees prints without support (common practice, no source)."""
    normal = [np.cos(np.radians(lean)), 0, -np.sin(np.radians(lean))]
    assert choose_pose(BOX, DOWNS[:1], (LARGE,), Outside(np.tile(normal, (50, 1)), 120.0)).support == hangs


def test_height_decides_between_equals():
    """No skin: 40 mm high, not 60."""
    assert choose_pose(BOX, DOWNS, (LARGE,)).down == "below"


def test_first_printer_that_fits():
    assert choose_pose(BOX, DOWNS, (SMALL, LARGE)).printer == "large"
    assert choose_pose(BOX * 0.5, DOWNS, (SMALL, LARGE)).printer == "small"
    nowhere = choose_pose(BOX * 4, DOWNS, (SMALL, LARGE))
    assert nowhere.printer == "large" and nowhere.excess > 0
