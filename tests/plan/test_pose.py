"""The print pose: least support first, the first printer that fits, in closed form."""

import numpy as np
import pytest
import trimesh

from sections.plan.pose import Bed, Down, Outside, choose_mirrored_pose, choose_pose

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


@pytest.mark.parametrize("seed", range(8))
def test_a_mirror_image_fits_as_its_original_does(seed):
    """A turned bar with a bump on one corner, and its mirror image: the same size on the bed, the same skin to support,
    within the bed's margins; whatever the turn, though neither lies straight."""
    random = np.random.default_rng(seed)
    turn = trimesh.transformations.random_rotation_matrix(random.random(3))[:3, :3]
    points = np.vstack([BOX, random.uniform(0, 1, (5, 3)) * [40, 30, 60]]) @ turn.T + [0, 300, 0]
    looks, flip = random.normal(size=(40, 3)), np.array([1.0, -1.0, 1.0])
    looks /= np.linalg.norm(looks, axis=1, keepdims=True)
    bed = Bed((102, 64, 70), (5, 8), "one")
    pose = choose_pose(points, [], (SMALL, bed), Outside(looks, 10.0))
    twin = choose_mirrored_pose(points * flip, [], (SMALL, bed), Outside(looks * flip, 10.0))
    assert twin.size == pytest.approx(pose.size) and twin.excess == pytest.approx(pose.excess)
    assert (twin.support, twin.stepped, twin.printer) == (pose.support, pose.stepped, pose.printer)
    on_bed = twin.frame.to_local(points * flip)
    if not twin.excess:
        assert (on_bed.min(0) >= [5 - 1e-6, 8 - 1e-6, -1e-6]).all()
        assert (on_bed.max(0) <= np.add([5, 8, 0], bed.room) + 1e-6).all()
    assert np.ptp(on_bed, axis=0) == pytest.approx(twin.size)
