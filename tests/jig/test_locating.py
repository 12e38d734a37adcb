"""3-2-1 by the rank of the contacts' Jacobian: six well placed hold six freedoms, five hold five."""

import numpy as np
import pytest

from sections.jig.locating import FREEDOMS, Contact, constraint_rows, firmness, freedoms_held, freedoms_taken


def contact(name, place, normal, locates="z"):
    return Contact(name, tuple(map(float, place)), tuple(map(float, normal)), locates, 1.0)


def block():
    """The textbook case: three below a block of 2000 x 800 x 600, two at its side, one at its end."""
    return [
        contact("below-1", (0, -400, 0), (0, 0, -1)),
        contact("below-2", (0, 400, 0), (0, 0, -1)),
        contact("below-3", (2000, 0, 0), (0, 0, -1)),
        contact("side-1", (200, 400, 300), (0, 1, 0), "y"),
        contact("side-2", (1800, 400, 300), (0, 1, 0), "y"),
        contact("end", (0, 0, 300), (-1, 0, 0), "x"),
    ]


def test_six_hold_six():
    assert freedoms_held(block()) == 6 and 0 < firmness(block()) <= 1


@pytest.mark.parametrize("left_out", range(6))
def test_any_five_hold_five(left_out):
    assert freedoms_held([one for number, one in enumerate(block()) if number != left_out]) == 5


def test_each_takes_one_freedom():
    assert sorted(freedoms_taken(block()).values()) == sorted(FREEDOMS)
    assert freedoms_taken(block())["end"] == "along x"


@pytest.mark.parametrize(("places", "held"), [
    ([(0, -400, 0), (0, 0, 0), (0, 400, 0)], 5),
    ([(0, -400, 0), (0, 400, 0), (2000, -400, 0)], 6),
])  # fmt: skip
def test_three_in_a_line_hold_less(places, held):
    """Three supports on one line leave the turn about it free."""
    below = [contact(f"b{number}", place, (0, 0, -1)) for number, place in enumerate(places)]
    assert freedoms_held(below + block()[3:]) == held


def test_a_ball_turns_as_it_likes():
    """However many contacts: normals through one centre hold the three shifts alone."""
    ways = np.random.default_rng(3).normal(size=(9, 3))
    ways /= np.linalg.norm(ways, axis=1, keepdims=True)
    assert freedoms_held([contact(f"c{number}", 300 * way, way) for number, way in enumerate(ways)]) == 3


def test_rows_against_a_small_motion():
    """A row times a small shift and turn is the speed of the place along its normal: v + w x r."""
    rng = np.random.default_rng(8)
    contacts = [contact(f"c{n}", rng.normal(size=3) * 500, rng.normal(size=3)) for n in range(7)]
    places, normals = (np.array([getattr(one, name) for one in contacts]) for name in ("place", "normal"))
    arms = places - places.mean(0)
    shift, turn = rng.normal(size=3), rng.normal(size=3)
    spread = np.sqrt((arms**2).sum(1).mean())
    speeds = ((shift + np.cross(turn, arms)) * normals).sum(1)
    assert constraint_rows(contacts) @ np.concatenate([shift, turn * spread]) == pytest.approx(speeds)
