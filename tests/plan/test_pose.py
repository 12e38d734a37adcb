"""The print pose: what it counts, the first printer that fits, in closed form."""

import numpy as np
import pytest
import trimesh

from sections.plan.bed_cost import Judge, Outside
from sections.plan.pose import Bed, Down, choose_mirrored_pose, choose_pose
from sections.settings.making import PoseTable
from sections.solids.layers import STEP
from sections.solids.print_solid import PrintSolid

BOX = np.array([[x, y, z] for x in (0, 100) for y in (0, 60) for z in (0, 40)], float)
SMALL, LARGE = Bed((80, 80, 80), (5, 5), "small"), Bed((200, 200, 200), (5, 5), "large")
DOWNS = [Down("below", np.array([0.0, 0, -1]), 6000.0), Down("behind", np.array([0.0, -1, 0]), 4000.0)]


def judge_of(solid, normals=((0.0, 0, 1),), area_mm2=0.0, **weights):
    """Return what poses of a solid are judged by; its skin the normals, each for an area."""
    return Judge(solid, Outside(np.array(normals, float), area_mm2), PoseTable(**weights))


def of(*boxes):
    made = [PrintSolid.box(np.array(low, float), np.array(high, float)) for low, high in boxes]
    return made[0].unite(made[1:])


def test_least_support_before_the_lowest():
    """A table, 100 x 60 x 12 on a leg of 20 x 60: stood on its leg 80 x 60 hang, less a step of 46 deg; on its top
    nothing does, though that is as high."""
    table = of([(0, 0, 0), (20, 60, 28)], [(0, 0, 28), (100, 60, 40)])
    downs = [Down("leg", np.array([0.0, 0, -1]), 1200.0), Down("top", np.array([0.0, 0, 1]), 6000.0)]
    pose = choose_pose(BOX, downs, (LARGE,), judge_of(table))
    assert (pose.down, pose.standing.unsupported) == ("top", 0)
    (leg,) = [choose_pose(BOX, downs[:1], (LARGE,), judge_of(table, edge=1e6))]
    assert leg.standing.unsupported == pytest.approx(60 * (80 - STEP * np.tan(np.radians(46))), rel=0.01)
    assert leg.standing.lean == pytest.approx((28 * 20 * 10 + 12 * 100 * 50) / (28 * 20 + 12 * 100) - 20, abs=0.1)


@pytest.mark.parametrize(("lean", "hangs"), [(44.0, 0), (46.5, 6000)])
def test_skin_that_looks_down(lean, hangs):
    """Skin that leans out by less than 45 degrees prints without support (common practice, no source)."""
    normal = [np.cos(np.radians(lean)), 0, -np.sin(np.radians(lean))]
    assert Outside(np.tile(normal, (50, 1)), 120.0).looks(np.array([0, 0, 1.0])) == (hangs, 0)


def test_steps_decide():
    """A block whose lid is skin: lying, layers show on 6000 mm2 of it; stood on its side, on none. What that counts as
    decides, against 20 mm more height."""
    block = of([(0, 0, 0), (100, 60, 40)])
    lying = choose_pose(BOX, DOWNS, (LARGE,), judge_of(block, [(0, 0, 1)], 6000.0, stepped=0.0))
    stood = choose_pose(BOX, DOWNS, (LARGE,), judge_of(block, [(0, 0, 1)], 6000.0, stepped=0.5))
    assert (lying.down, lying.standing.stepped) == ("below", 6000)
    assert (stood.down, stood.standing.stepped) == ("behind", 0)
    assert lying.standing.first == pytest.approx(6000) and stood.standing.first == pytest.approx(4000)


def test_an_edge_counts():
    """A block of which only an edge is named to lie down: what standing on an edge counts has other poses looked for,
    and one on a face taken."""
    block = of([(0, 0, 0), (100, 60, 40)])
    half = np.sqrt(0.5)
    on_edge = [Down("edge", np.array([0, -half, -half]), 1.0)]
    pose = choose_pose(BOX, on_edge, (LARGE,), judge_of(block, edge=1e5, height=0.0))
    assert pose.down == "edge" and pose.standing.first > 400, "a free pose on a face was to be found"


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
    solid = PrintSolid.hull(points)
    pose = choose_pose(points, [], (SMALL, bed), judge_of(solid, looks, 10.0))
    twin = choose_mirrored_pose(points * flip, [], (SMALL, bed), judge_of(solid.mirrored_y(), looks * flip, 10.0))
    assert twin.size == pytest.approx(pose.size) and twin.excess == pytest.approx(pose.excess)
    own, other = pose.standing, twin.standing
    assert (other.skin, other.stepped, twin.printer) == (own.skin, own.stepped, pose.printer)
    assert (other.unsupported, other.lean) == pytest.approx((own.unsupported, own.lean), rel=0.02, abs=1.0)
    on_bed = twin.frame.to_local(points * flip)
    if not twin.excess:
        assert (on_bed.min(0) >= [5 - 1e-6, 8 - 1e-6, -1e-6]).all()
        assert (on_bed.max(0) <= np.add([5, 8, 0], bed.room) + 1e-6).all()
    assert np.ptp(on_bed, axis=0) == pytest.approx(twin.size)
