"""Ties of sections against closed forms: chains, pins, ways that meet, shrinkage; and against Monte Carlo."""

import math
from dataclasses import replace

import numpy as np
import pytest
from scipy.optimize import linprog

from sections.numbers.tolerance_stack import root_sum_square, worst_case
from sections.stackup.held import held_ties, most_central, steps_from
from sections.stackup.monte_carlo import scattered
from sections.stackup.network import Network, Solid
from sections.stackup.sums import parts_at
from sections.stackup.ties import Tie, pin_tilt

SIZE = 100.0
X, Y, Z = np.eye(3)


def solid(number, spread=0.0, unsure=0.0, axes=None):
    """A cube of 100 mm, its middle on the x axis."""
    middle = np.array([SIZE * number, 0.0, 0.0])
    axes = np.eye(3) if axes is None else axes
    return Solid(f"s{number}", middle, axes, np.full(3, SIZE), spread, np.full(3, unsure))


def mate(minus, plus, at, play=0.2, face=0.3, spacing=60.0, name="", way=X, across=(Y, Z)):
    """Six ties in the plane square to `way`: a round pin at `at`, a slot `spacing` along the first of `across`, three
    points of the faces about it."""
    one, two = across
    where = name or f"{minus} {plus}"
    ties = [Tie(f"pins {where}", minus, plus, at, one, play), Tie(f"pins {where}", minus, plus, at, two, play)]
    ties.append(Tie(f"pins {where}", minus, plus, at + spacing * one, two, play))
    for turn in (0.0, 2 * np.pi / 3, 4 * np.pi / 3):
        point = at + 40.0 * (math.cos(turn) * one + math.sin(turn) * two)
        ties.append(Tie(f"faces {where}", minus, plus, point, way, face))
    return ties


def chain(count, **more):
    """Cubes in a row, the first held."""
    solids = [solid(number, **more) for number in range(count)]
    ties = held_ties(solids[0], None)
    for number in range(1, count):
        ties += mate(f"s{number - 1}", f"s{number}", np.array([SIZE * (number - 0.5), 0.0, 0.0]))
    return Network(tuple(solids), tuple(ties))


def sums(network, section, place, along, but=("datum",)):
    """Return (worst, usual) without what holds the datum: thousandths of a millimetre."""
    worst = [one for one in parts_at(network, section, place, along, worst=True) if one.name not in but]
    usual = [one for one in parts_at(network, section, place, along, worst=False) if one.name not in but]
    return worst_case(worst), root_sum_square(usual)


@pytest.mark.parametrize("count", [2, 4, 8])
def test_a_chain_adds_up(count):
    """Along the row each pair of faces adds the mean of three points: n t at worst, t sqrt(n / 3) for independent
    ones."""
    network = chain(count)
    place = network.solids[-1].middle
    worst, usual = sums(network, f"s{count - 1}", place, X)
    joints = count - 1
    assert worst == pytest.approx(joints * 0.3, rel=1e-6)
    assert usual == pytest.approx(0.3 * math.sqrt(joints / 3), rel=1e-4)


@pytest.mark.parametrize("out", [0.0, 30.0, 60.0, 300.0, -200.0])
def test_turn_on_two_pins(out):
    """A place `out` mm along the line of two pins, each off by the play: rho (|1 - D/L| + |D/L|) across it at worst;
    the turn at most that of two pins whose diametral clearances are twice the play: (c1 + c2) / 2 L."""
    network = chain(2)
    place = np.array([50.0, out, 0.0])
    worst, usual = sums(network, "s1", place, Z)
    part = out / 60.0
    assert worst == pytest.approx(0.2 * (abs(1 - part) + abs(part)), rel=1e-6)
    assert usual == pytest.approx(0.2 * math.hypot(1 - part, part), rel=1e-4)
    far = sums(network, "s1", np.array([50.0, 6000.0, 0.0]), Z)[0]
    assert far / 6000 == pytest.approx(pin_tilt(0.4, 0.4, 60.0), rel=0.01)


def test_a_turn_grows_with_the_arm():
    """The faces' points, 40 mm about the pin, off by 0.3: turned about y by T / (R sqrt(3/2)) for independent points,
    the far end of an arm D moves by that times D (closed form of a plane through three points)."""
    network = chain(2)
    for arm in (100.0, 400.0):
        place = np.array([50.0 + arm, 0.0, 0.0])
        _, usual = sums(network, "s1", place, Z)
        turned = 0.3 / (40.0 * math.sqrt(1.5)) * arm
        # The pin's play is there as well.
        assert usual == pytest.approx(math.hypot(turned, 0.2), rel=1e-3)


def test_two_ways_share():
    """The same mate twice: at worst no more than one of them lets, usually 1 / sqrt(2) of it."""
    solids = [solid(0), solid(1)]
    at = np.array([50.0, 0.0, 0.0])
    once = Network(tuple(solids), (*held_ties(solids[0], None), *mate("s0", "s1", at)))
    twice = Network(tuple(solids), (*once.ties, *mate("s0", "s1", at, name="again")))
    place = np.array([150.0, 20.0, 30.0])
    for along in (X, Y, Z):
        one, two = sums(once, "s1", place, along), sums(twice, "s1", place, along)
        assert two[0] == pytest.approx(one[0], rel=1e-6)
        assert two[1] == pytest.approx(one[1] / math.sqrt(2), rel=1e-3)


def test_a_wide_mate_does_not_spoil_a_close_one():
    """Beside a mate with a tenth of the play, one with all of it adds next to nothing, at worst nothing."""
    solids = [solid(0), solid(1)]
    at = np.array([50.0, 0.0, 0.0])
    close = mate("s0", "s1", at, play=0.02, face=0.03)
    alone = Network(tuple(solids), (*held_ties(solids[0], None), *close))
    both = Network(tuple(solids), (*alone.ties, *mate("s0", "s1", at, name="wide")))
    one, two = (sums(net, "s1", np.array([150.0, 0.0, 0.0]), Y) for net in (alone, both))
    assert two[0] == pytest.approx(one[0], rel=1e-6) and 0.99 * one[1] < two[1] <= one[1]


@pytest.mark.parametrize("count", [2, 5])
def test_shrinkage_is_one_error(count):
    """0.2 percent not known, printed alike: a place D from the datum is off by 0.002 D, not by the root of squares."""
    network = chain(count, unsure=0.002)
    place = network.solids[-1].middle + [50.0, 0.0, 0.0]
    parts = {one.name: one for one in parts_at(network, f"s{count - 1}", place, X, worst=False)}
    assert parts["shrinkage in x"].most == pytest.approx(0.002 * place[0], rel=1e-4)
    assert "shrinkage in y" not in parts or parts["shrinkage in y"].most < 1e-9


def test_shrinkage_follows_the_pose():
    """Every other section printed standing, its height along the row: half the row by either axis."""
    solids, up = [], np.array([[0.0, 0, 1], [0, 1, 0], [-1, 0, 0]]).T
    for number in range(4):
        solids.append(solid(number, unsure=0.002, axes=np.eye(3) if number % 2 == 0 else up))
    network = Network(tuple(solids), chain(4).ties)
    place = np.array([350.0, 0.0, 0.0])
    parts = {one.name: one for one in parts_at(network, "s3", place, X, worst=False)}
    # s0 from its middle and s2 along x; s1 and s3 along height.
    assert parts["shrinkage in x"].most == pytest.approx(0.002 * 150, rel=1e-4)
    assert parts["shrinkage in height"].most == pytest.approx(0.002 * 200, rel=1e-4)


def test_sizes_are_independent():
    """Each of five cubes 0.2 off in size: half of the first from its middle, then three whole, then the last whole."""
    network = chain(5, spread=0.2)
    place = np.array([450.0, 0.0, 0.0])
    parts = [one for one in parts_at(network, "s4", place, X, worst=False) if one.name.startswith("size")]
    assert worst_case(parts) == pytest.approx(0.2 * 4.5, rel=1e-4)
    assert root_sum_square(parts) == pytest.approx(0.2 * math.sqrt(4.25), rel=1e-4)


@pytest.fixture(scope="module")
def grid():
    """Nine cubes in a square, each tied to its neighbours, the one in the corner held; sizes and shrinkage off."""
    solids, ties = {}, []
    for i in range(3):
        for j in range(3):
            middle = np.array([SIZE * i, SIZE * j, 0.0])
            solids[i, j] = Solid(f"g{i}{j}", middle, np.eye(3), np.full(3, SIZE), 0.1, np.full(3, 0.001))
    for (i, j), one in solids.items():
        if (i + 1, j) in solids:
            ties += mate(one.id, solids[i + 1, j].id, one.middle + [50.0, 0, 0])
        if (i, j + 1) in solids:
            ties += mate(one.id, solids[i, j + 1].id, one.middle + [0, 50.0, 0], way=Y, across=(Z, X))
    return Network(tuple(solids.values()), (*held_ties(solids[0, 0], None), *ties))


@pytest.mark.parametrize("along", [0, 1, 2])
def test_monte_carlo(grid, along):
    """Bodies put together at random, with turns that are turns: three deviations are the root sum of squares, within
    four standard errors of 600 trials, 1 / sqrt(2 n)."""
    place, times = np.array([250.0, 250.0, 50.0]), 600
    landed = scattered(grid, "g22", place, times, seed=4)[:, along]
    usual = root_sum_square(parts_at(grid, "g22", place, np.eye(3)[along], worst=False))
    assert 3 * landed.std() == pytest.approx(usual, rel=4 / math.sqrt(2 * times))
    worst = worst_case(parts_at(grid, "g22", place, np.eye(3)[along], worst=True))
    assert usual < worst


def test_nothing_is_worse_than_the_worst(grid):
    """Of any motions whatever in which no tie is parted by more than its limit, none moves the place by more."""
    rng = np.random.default_rng(5)
    grid = Network(tuple(replace(one, spread=0.0, unsure=np.zeros(3)) for one in grid.solids), grid.ties)
    for along in (X, Y, Z):
        place = np.array([250.0, 250.0, 50.0])
        moved = grid.moved("g22", place, along)
        worst = float(np.abs(grid.tightest(moved, np.zeros(27))) @ grid.off)
        most = 0.0
        for _ in range(300):
            # Motions as the ties' errors make them, and the one that moves the place most, shaken.
            motion = grid.answer @ (grid.off * np.sign(grid.usual(moved) + rng.normal(0, 0.3, len(grid.off))))
            motion = motion / np.max(np.abs(grid.rows @ motion) / grid.off)
            most = max(most, abs(float(moved @ motion)))
        assert 0.3 * worst < most <= worst * (1 + 1e-9)
        assert worst <= float(np.abs(grid.usual(moved)) @ grid.off) * (1 + 1e-9)


@pytest.mark.parametrize("along", [0, 1, 2])
def test_the_worst_is_that_of_all_errors_at_once(grid, along):
    """Ties, sizes and shrinkage at their worst together: what the parts add up to is the optimum of a linear programme
    written down anew, all errors its variables (strong duality)."""
    place, way = np.array([250.0, 250.0, 50.0]), np.eye(3)[along]
    count, ties = len(grid.solids), len(grid.ties)
    off = 6 * count + np.arange(ties)
    rows = np.hstack([grid.rows, -np.eye(ties), np.zeros((ties, 3 * count + 3))])
    goal = np.zeros(rows.shape[1])
    goal[: 6 * count] = grid.moved("g22", place, way)
    for number, one in enumerate(grid.solids):
        for axis in range(3):
            column, shared = 6 * count + ties + 3 * number + axis, 9 * count + ties + axis
            for row, tie in enumerate(grid.ties):
                sign = (tie.plus == one.id) - (tie.minus == one.id)
                felt = sign * tie.way[axis] * (tie.place - one.middle)[axis]
                rows[row, [column, shared]] += felt, felt * 0.001
            if one.id == "g22":
                moved = way[axis] * (place - one.middle)[axis]
                goal[[column, shared]] += moved, moved * 0.001
    limits = [(None, None)] * 6 * count + [(-one.off, one.off) for one in grid.ties]
    limits += [(-0.1 / SIZE, 0.1 / SIZE)] * 3 * count + [(-1, 1)] * 3
    assert len(limits) == rows.shape[1] and off[-1] < rows.shape[1]
    solved = linprog(-goal, A_eq=rows, b_eq=np.zeros(ties), bounds=limits, method="highs")
    assert worst_case(parts_at(grid, "g22", place, way, worst=True)) == pytest.approx(-solved.fun, rel=1e-6)


@pytest.mark.parametrize(("printers", "most", "usual"), [("aaa", 0.2, 0.2), ("aba", 0.6, math.sqrt(0.2))])
def test_shrinkage_of_two_printers(printers, most, usual):
    """A bar on two posts, 100 apart and 100 high from where they are held, 0.002 not known upward: 0.2 each. A hundred
    past the second post the bar's height moves by twice the second's less the first's: alike, 0.2; of two printers 0.6
    at worst, and sqrt(0.4^2 + 0.2^2) = sqrt(0.2)."""
    low, high = np.array([0.0, 0, 0]), np.array([100.0, 0, 0])
    posts = [Solid("p", low, np.eye(3), np.full(3, SIZE), 0.0, np.array([0, 0, 0.002]), printers[0]),
             Solid("q", high, np.eye(3), np.full(3, SIZE), 0.0, np.array([0, 0, 0.002]), printers[1])]  # fmt: skip
    bar = Solid("bar", np.array([50.0, 0, 100.0]), np.eye(3), np.full(3, SIZE), 0.0, np.zeros(3), printers[2])
    ties = [*held_ties(posts[0], None), *held_ties(posts[1], None)]
    for post in posts:
        top = post.middle + [0, 0, 100.0]
        ties += [Tie("top", post.id, "bar", top + [0, aside, 0], Z, 0.1) for aside in (-10.0, 10.0)]
    ties += [Tie("side", "p", "bar", low + [0, 0, 100.0], way, 0.1) for way in (X, Y)]
    ties.append(Tie("side", "q", "bar", high + [0, 0, 100.0], Y, 0.1))
    network = Network((*posts, bar), tuple(ties))
    place = np.array([200.0, 0, 100.0])
    parts = parts_at(network, "bar", place, Z, worst=False)
    found = [one for one in parts if one.name.startswith("shrinkage in height")]
    assert worst_case(found) == pytest.approx(most, rel=1e-3)
    assert root_sum_square(found) == pytest.approx(usual, rel=1e-3)


def test_what_hangs_on_nothing():
    """A section without ties to what is held cannot be placed; steps tell which those are."""
    solids = [solid(0), solid(1), solid(2)]
    ties = [*held_ties(solids[0], None), *mate("s0", "s1", np.array([50.0, 0, 0]))]
    assert steps_from(("s0",), ties) == {"s0": 0, "s1": 1, "": 1}
    loose = Network(tuple(solids), tuple(ties))
    with pytest.raises(ValueError, match="hangs on nothing"):
        loose.answer  # noqa: B018
    # One pin lets a section turn.
    pin = Network((solids[0], solids[1]), tuple(tie for tie in ties if "faces" not in tie.name))
    with pytest.raises(ValueError, match="hangs on nothing"):
        pin.usual(pin.moved("s1", np.array([100.0, 0, 0]), X))
    with pytest.raises(ValueError, match="hangs on nothing"):
        pin.tightest(pin.moved("s1", np.array([100.0, 0, 0]), X), np.zeros(6))


def test_the_middle_of_a_row():
    ties = [tie for tie in chain(5).ties if tie.minus]
    assert most_central([f"s{n}" for n in range(5)], ties) == "s2"


def test_a_jig_holds_anew():
    """A row of six, held at both ends by a jig 0.5 off: the middle is off by less than from one end."""
    row = chain(6)
    ties = [tie for tie in row.ties if tie.minus]
    one = Network(row.solids, (*held_ties(row.solids[0], 0.5), *ties))
    both = Network(row.solids, (*one.ties, *held_ties(row.solids[5], 0.5)))
    place = row.solids[5].middle
    for along in (X, Y, Z):
        assert sums(both, "s5", place, along, but=())[1] <= 0.5 + 1e-9 < sums(one, "s5", place, along, but=())[1]
        assert sums(both, "s5", place, along, but=())[0] <= 0.5 + 1e-6
