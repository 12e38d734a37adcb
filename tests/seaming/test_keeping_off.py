"""Seams keep off a bar below a flat skin: from where on, in closed form."""

import numpy as np
import pytest
import trimesh

from sections.donor.kept_off import KeptOff
from sections.numbers.frame import Plane
from sections.numbers.mesh import Mesh
from sections.seaming.keeping_off import KeepingOff
from sections.settings import Settings
from sections.settings.joint_line import bolt_reach, joint_line
from tests.seaming.test_search import DEPTHS, plate, shell_of

GAP = 10.0
SETTINGS = Settings.model_validate(
    {"name": "it", "body": {"file": "it.stl", "units": "mm"}, "flange": {"height": 24, "thickness": 6}}
)


def bar(top, low=230.0, high=270.0, side=(-100.0, 400.0)):
    """A bar along y, its top so far above the skin, which is at z = 0; 30 high."""
    box = trimesh.creation.box(bounds=[[low, side[0], top - 30], [high, side[1], top]])
    return KeptOff("bar", Mesh(np.asarray(box.vertices), np.asarray(box.faces)), GAP)


def is_met(thing, at):
    plane = Plane((1.0, 0.0, 0.0), at)
    split = shell_of(plate(500, 280)).split(plane, DEPTHS)
    return KeepingOff.of(SETTINGS, (thing,)).is_met(split, plane)


@pytest.mark.parametrize(("at", "met"), [(213.5, False), (214.5, True), (250.0, True), (285.5, True), (286.5, False)])
def test_beside(at, met):
    """The flange, 6 to either side and 24 high, ends level with the bar's top, 20 to either side of 250: 36 off its
    middle the gap is 10."""
    assert is_met(bar(-24.0), at) == met


@pytest.mark.parametrize(("top", "met"), [(-34.2, False), (-33.8, True)])
def test_below(top, met):
    """A flange that ends 24 below the skin is 10 above a bar 34 below it."""
    assert is_met(bar(top), 250.0) == met


def test_a_bolt_reaches_further_than_the_flange():
    """M3 through two flanges of 6: with washers up to 0.55, a nut 2.4 high and two turns of 0.5 (ISO 7089, ISO 4032)
    16.5, so a screw 20 long (ISO 4762), whose end stands 20 - 12 - 0.55 out: 13.45 off the seam. A bar at the joints'
    own depth is met 10 further off, and no more."""
    assert bolt_reach(SETTINGS) == pytest.approx(6 + 20 - 12 - 0.55)
    thing = bar(15 - joint_line(SETTINGS), 230.0, 270.0)
    reach = 20 + 10 + bolt_reach(SETTINGS)
    assert not is_met(thing, 250 + reach + 0.1) and is_met(thing, 250 + reach - 0.1)


def test_a_wall_that_is_too_near_itself_stops_no_seam():
    """12 below a skin with a wall of 4 there are 8 to the wall anywhere: no seam could fix that."""
    assert not is_met(bar(-12.0, -1000.0, 2000.0), 250.0)


def test_only_part_of_a_seam():
    """A bar across a corner of the skin alone: met by seams that run over it."""
    thing = bar(-20.0, 230.0, 270.0, side=(270.0, 300.0))
    assert is_met(thing, 250.0) and not is_met(thing, 350.0)


def test_what_is_kept_off_goes_to_other_processes():
    """Without its tree, which is made anew there."""
    import pickle

    thing = bar(-24.0)
    points = np.array([[250.0, 100.0, -15.0], [250.0, 100.0, -13.0], [250.0, 100.0, -30.0]])
    assert thing.too_near(points).tolist() == [True, False, True]
    again = pickle.loads(pickle.dumps(thing))
    assert again.too_near(points).tolist() == [True, False, True] and again.id == "bar"
