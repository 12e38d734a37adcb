"""Tools in a hand: a key that can be turned, or not, among walls set by hand."""

import numpy as np
import pytest

from sections.numbers.frame import Plane
from sections.numbers.mesh import Mesh, join
from sections.plan.hands import HAND, Hands, hand_space, in_block, in_the_way, mesh_near
from sections.solids.distance import MeshDistance
from sections.solids.print_solid import PrintSolid

ARM, THICK = 56.0, 2.5
ACROSS = np.array([[[1.0, 0.0, 0.0], [0.0, 1.0, 0.0]]])


def wall(low, high):
    return PrintSolid.box(np.array(low, float), np.array(high, float)).mesh()


def turns(walls, hands):
    return bool(
        Hands(MeshDistance(join(walls)), np.array(hands, float)).can_turn(np.zeros((1, 3)), ACROSS, ARM, THICK)[0]
    )


BEHIND = wall((-200, -14, -200), (200, -10, 200))


def test_beside_a_wall():
    """10 mm off a wall the arm turns on the free side, a hand being there."""
    assert turns([BEHIND], [(0, 60, 0)])


def test_no_hand_there():
    """The nearest hand is 300 mm off; or there is none."""
    assert not turns([BEHIND], [(0, 300, 0)])
    assert not turns([BEHIND], np.empty((0, 3)))


def test_a_hand_behind_a_wall_holds_nothing():
    """The hand is within reach, but a wall stands between it and the key."""
    between = wall((-200, 56.5, -200), (200, 60, 200))
    assert not turns([BEHIND, between], [(0, 80, 0)])


@pytest.mark.parametrize(("wide", "free"), [(50.0, False), (90.0, True)])
def test_between_two_walls(wide, free):
    """An arm of 56 turns through a sixth of a turn in a slot if it is half its chord of 60 degrees each way: 28 mm on
    either side; in one 50 wide it meets the sides, in one 90 wide it does not."""
    sides = [wall((sign * wide / 2, -200, -200), (sign * (wide / 2 + 4), 200, 200)) for sign in (1,)]
    sides += [wall((-wide / 2 - 4, -200, -200), (-wide / 2, 200, 200))]
    assert turns(sides, [(0, 60, 0)]) == free


@pytest.mark.parametrize(("gap", "free"), [(2.4, False), (2.6, True)])
def test_a_handle_is_as_thick_as_it_is(gap, free):
    """A handle of 2.5 between two shelves: its middle alone would pass where it does not."""
    shelves = [wall((-200, -200, z - 2), (200, 200, z)) for z in (-gap / 2, gap / 2 + 2)]
    assert turns(shelves, [(0, 60, 0)]) == free


def test_of_a_block_only_what_lies_in_it_is_in_the_way():
    """A closed box cut in two by x = 0: whole, no hand is inside; half of it is open."""
    box = wall((-200, -200, -200), (200, 200, 200))
    nodes = in_the_way(box)
    middle = np.array([[60.0, -30, -30], [120, 30, 30]])
    assert not len(hand_space(nodes).places(middle))
    assert len(hand_space(in_block(nodes, (Plane((1.0, 0.0, 0.0), 0.0),))).places(middle))
    assert hand_space(in_block(nodes, (Plane((1.0, 0.0, 0.0), 900.0),))) is None
    near = mesh_near(box, (Plane((1.0, 0.0, 0.0), 0.0),), np.array([[-10.0, -250, -250], [250, 250, 250]]))
    assert isinstance(near, Mesh) and len(near) < len(box)


def test_a_hand_is_as_wide_as_said():
    """80 mm: common practice, no source; hardpoints' tools reckon with the same."""
    assert 2 * HAND == 80.0
