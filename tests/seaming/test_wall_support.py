"""Cuts that leave wall without skin of its own, and lines without room for joints, on flat skins in closed form; and
what carving leaves of such a cut."""

import math

import numpy as np
import pytest
import trimesh

from sections.body import load_body
from sections.export.stage import scratch_beside
from sections.numbers.frame import Plane
from sections.planning.make_plan import make_plan
from sections.seaming.rules import steepness
from sections.seaming.wall_support import cuts_off_wall, lines_without_room
from sections.settings.load import load_settings
from tests.run.test_plan import nine_and_below, write_box
from tests.seaming.test_search import DEPTHS, shell_of
from tests.shared import quiet_pool

WALL = DEPTHS.wall
LEVEL = Plane((0.0, 0.0, 1.0), 100.0)


def plate(at, slope=0.0, length=200.0, width=100.0):
    """A flat skin that looks up, its middle at a height, mm, leaning by a slope along x."""
    rise = slope * length / 2
    corners = np.array([[0, 0, at - rise], [length, 0, at + rise], [length, width, at + rise], [0, width, at - rise]])
    return trimesh.Trimesh(corners, [[0, 1, 2], [0, 2, 3]])


@pytest.mark.parametrize(("at", "slope", "cut_off"), [
    (102.0, 0.0, True), (103.8, 0.0, True), (104.2, 0.0, False), (110.0, 0.0, False), (98.0, 0.0, False),
    (102.0, 0.015, True), (102.0, 0.03, False),
])  # fmt: skip
def test_a_level_cut_below_a_flat_skin(at, slope, cut_off):
    """Skin 4 thick above a cut loses its underside where the cut lies less than 4 below it. Leaning by 0.015 over 200
    it is 0.5 to 3.5 above the cut, by 0.03 it crosses: what is cut off then hangs on skin beyond."""
    assert cuts_off_wall(shell_of(plate(at, slope)), LEVEL, WALL) is cut_off
    assert cuts_off_wall(shell_of(trimesh.util.concatenate(plate(at, slope), plate(300.0))), LEVEL, WALL) is cut_off
    assert cuts_off_wall(shell_of(plate(at, slope)), LEVEL.flipped(), WALL) is cut_off


@pytest.mark.xdist_group("nine")
@pytest.mark.parametrize(("off", "lost"), [(3, True), (5, False)])
def test_what_carving_leaves(tmp_path, off, lost):
    """A box of 210 x 160 x 60 cut into nine by two planes each way, and once below its roof. The cell amid the roof
    has no skin at its sides: within the wall, a cut leaves its underside as wall without skin."""
    settings = load_settings(write_box(tmp_path, (210, 160, 60), nine_and_below(60 - off)))
    pool = quiet_pool()
    with scratch_beside(tmp_path / "box", pool.store) as scratch:
        planned = make_plan(settings, load_body(settings, tmp_path), scratch, pool)
    found = [one for one in planned.plan.shortages if one.kind == "wall" and one.where.startswith("X1Y1")]
    assert bool(found) is lost
    roof = shell_of(plate(60.0, length=70.0, width=50.0))
    assert cuts_off_wall(roof, Plane((0.0, 0.0, 1.0), 60.0 - off), settings.wall.thickness) is lost


@pytest.mark.parametrize(("length", "lean", "without"), [
    (70.0, 90.0, 0), (55.0, 90.0, 1), (300.0, 30.0, 0), (300.0, 10.0, 1),
])  # fmt: skip
def test_lines_without_room(length, lean, without):
    """With a run of 120 a line needs half of that, 60, on skin that leans 20.5 degrees or more to the cut (a sine of
    0.35). Across a plate its line is as long as that is wide; another plate has a line of its own."""
    skin = shell_of(plate(100.0, math.tan(math.radians(lean)), 40.0, length) if lean < 90 else upright(length))
    split = skin.split(LEVEL, DEPTHS)
    assert lines_of(split, 120.0) == without
    both = shell_of(trimesh.util.concatenate(upright(length), upright(300.0, 500.0))).split(LEVEL, DEPTHS)
    assert lines_of(both, 120.0) == (1 if length < 60 else 0)


def upright(width, aside=0.0):
    """An upright flat skin about the height of the cut."""
    corners = np.array([[aside, 0, 80], [aside, width, 80], [aside, width, 130], [aside, 0, 130]], float)
    return trimesh.Trimesh(corners, [[0, 1, 2], [0, 2, 3]])


def lines_of(split, run):
    lengths = np.linalg.norm(split.line[:, 1] - split.line[:, 0], axis=1)
    return lines_without_room(split, steepness(split.normals, LEVEL.normal), lengths, run)
