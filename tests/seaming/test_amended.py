"""A plan gone on with after carving: what no longer fits is searched again, what fits stays as it was."""

import math

import numpy as np
import trimesh

from sections.numbers.frame import Plane
from sections.seaming.search import DEPTH, Node, Way, amended, begin
from sections.seaming.troubles import Larger, Troubles
from tests.seaming.test_search import DEPTHS, parts_of, plate, rules, shell_of


def two_strips():
    """A plate cut along its middle into two strips of 1100 x 280, each in 3: sections of up to 386 (test_search)."""
    shell = shell_of(plate(1100, 560))
    node = begin(shell, Way((0.0, 1.0, 0.0), 2), rules(), DEPTH, math.inf).node
    assert [len(part.planes) for part in node.parts] == [2, 2]
    return shell, node


def test_a_section_that_came_out_larger():
    """The middle one of a strip lacked 100 mm along x: it is 100 mm shorter than the search thought, flanges and all,
    or more; the other strip keeps its cuts."""
    shell, node = two_strips()
    low, high = node.parts[1].planes
    side = Plane((0.0, 1.0, 0.0), 280.0)
    section = Larger((low, high.flipped(), side), np.array([550.0, 420.0, 0.0]), np.eye(3)[0], 100.0)
    bounded = Troubles((section,), np.empty((0, 5))).bounded(shell, rules())
    again = amended(bounded, node, rules(), DEPTH)
    assert again.node.planes == node.planes and again.node.parts[0] == node.parts[0]
    sizes = [
        np.ptp(part.vertices[:, 0])
        for part in parts_of(shell, again.node, DEPTHS)
        if part.vertices[:, 1].min() > 279 and part.vertices[:, 0].min() < 550 < part.vertices[:, 0].max()
    ]
    assert len(sizes) == 1 and sizes[0] <= high.offset - low.offset - 100


def test_pieces_that_grew_into_one():
    """Two plates side by side, thought two sections of 200, came out as one 300 mm too long: the bound is on both
    together, 600 less 300, and so on the cell that holds them."""
    one = plate(200, 200)
    other = one.copy().apply_translation((400, 0, 0))
    shell = shell_of(trimesh.util.concatenate([one, other]))
    assert rules().fitting(shell) == 2
    row = Larger((), np.array([100.0, 100.0, 0.0]), np.eye(3)[0], 300.0).bound(shell, rules())
    assert row[6:].tolist() == [300.0, 1.0]
    assert rules().fitting(shell.with_bounds(row[None])) is None
    short = shell.with_bounds(row[None]).split(Plane((1.0, 0.0, 0.0), 300.0), DEPTHS).short
    assert rules().fitting(short) == 1


def test_a_cut_that_may_no_longer_run():
    """A place kept clear on one strip's first cut: that strip is cut elsewhere, the other stays."""
    shell, node = two_strips()
    at = node.parts[1].planes[0].offset
    clear = np.array([[at, 420.0, 0.0, 30.0, 0.0]])
    again = amended(shell, node, rules(clear=clear), DEPTH).node
    assert again.parts[0] == node.parts[0]
    assert all(abs(plane.offset - at) >= 30 for plane in again.parts[1].planes)
    assert amended(shell, node, rules(), DEPTH).node == node, "nothing is in the way: nothing moves"


def test_a_cut_between_strips_that_may_no_longer_run():
    """A place kept clear on the long cut between them: it goes round it, and what it parts still fits."""
    shell, node = two_strips()
    clear = np.array([[550.0, node.planes[0].offset, 0.0, 10.0, 0.0]])
    again = amended(shell, node, rules(clear=clear), DEPTH).node
    assert 10 <= abs(again.planes[0].offset - node.planes[0].offset) < 0.25 * node.planes[0].offset
    assert all(rules().fitting(part) is not None for part in parts_of(shell, again, DEPTHS))


def test_none_of_it_can_stay():
    """A place so wide that no cut goes by it, and a part that fits no bed whole."""
    shell, node = two_strips()
    assert amended(shell, node, rules(clear=np.array([[550.0, 280.0, 0.0, 400.0, 0.0]])), DEPTH) is None
    assert amended(shell_of(plate(700, 280)), Node(), rules(), DEPTH) is None


def test_fewer_troubles():
    """All, then nearer to the places, then one kind alone."""
    section = Larger((), np.zeros(3), np.eye(3)[0], 1.0)
    both = list(Troubles((section,), np.full((2, 5), 30.0)).fewer())
    assert [(len(one.larger), len(one.clear)) for one in both] == [(1, 2), (1, 2), (1, 0), (0, 2)]
    assert [list(one.clear[0]) for one in both[1::2]] == [[30, 30, 30, 12, 30]] * 2
    assert len(list(Troubles((section,), np.empty((0, 5))).fewer())) == 1
