"""Wheel envelopes against closed forms of a cylinder that turns about an upright axis and travels up and down."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sections.donor.wheel import wheel_envelope
from sections.settings.donor import Wheel
from sections.solids.distance import MeshDistance
from sections.standards.tyres import tyre

MARK = "205/55R16"
RADIUS, HALF = tyre(MARK).largest_diameter / 2, tyre(MARK).largest_width / 2
# mm; an envelope may be too large by the chord between two directions, and by the corners of its circle.
OVER = 0.5


def wheel(**more):
    return Wheel(id="w", tyre=MARK, **({"centre": [600.0, 700.0, 300.0]} | more))


def test_straight_ahead():
    """A cylinder along y."""
    made = wheel_envelope(wheel())
    low, high = made.bounds - np.array([600.0, 700.0, 300.0])
    assert high == pytest.approx([RADIUS, HALF, RADIUS], abs=OVER) and low == pytest.approx(-high, abs=1e-6)
    assert made.volume_mm3 == pytest.approx(np.pi * RADIUS**2 * 2 * HALF, rel=0.006)


def test_by_what_the_tyre_measures():
    """A cylinder of its own diameter and width: nothing is added, as it was measured at its largest."""
    made = wheel_envelope(Wheel(id="w", diameter=560.0, width=150.0, centre=[0.0, 0.0, 0.0]))
    assert made.bounds[1] == pytest.approx([280.0, 75.0, 280.0], abs=OVER)
    assert made.volume_mm3 == pytest.approx(np.pi * 280**2 * 150, rel=0.006)


@pytest.mark.parametrize(("bump", "droop"), [(60.0, 0.0), (0.0, 80.0), (60.0, 80.0)])
def test_travel(bump, droop):
    """The cylinder and the box it leaves behind: pi r^2 w + 2 r h w."""
    made = wheel_envelope(wheel(bump=bump, droop=droop))
    whole = (np.pi * RADIUS**2 + 2 * RADIUS * (bump + droop)) * 2 * HALF
    assert made.volume_mm3 == pytest.approx(whole, rel=0.006)
    assert made.bounds[:, 2] - 300 == pytest.approx([-RADIUS - droop, RADIUS + bump], abs=OVER)


@pytest.mark.parametrize("steer", [5.0, 15.0, 30.0, 45.0])
def test_steer(steer):
    """A rectangle of 2 r by w turned by up to s about its middle reaches r cos a + w / 2 sin a ahead, at most at
    tan a = w / 2 r; and w / 2 cos s + r sin s to the side."""
    made = wheel_envelope(wheel(steer=steer))
    most = min(np.radians(steer), np.arctan2(HALF, RADIUS))
    turned = np.radians(steer)
    reach = made.bounds[1] - np.array([600.0, 700.0, 300.0])
    assert reach[0] == pytest.approx(RADIUS * np.cos(most) + HALF * np.sin(most), abs=OVER)
    assert reach[1] == pytest.approx(HALF * np.cos(turned) + RADIUS * np.sin(turned), abs=OVER)


@pytest.mark.parametrize("side", [-1.0, 1.0])
def test_kingpin(side):
    """About an axis 80 mm inboard, a half turn apart from the middle: outboard it reaches 80 + w / 2 from the axis, in
    the direction of that corner at most the whole distance to it."""
    steer, kingpin = 25.0, 80.0
    made = wheel_envelope(wheel(centre=[600.0, side * 700.0, 300.0], steer=steer, kingpin=kingpin))
    pin = side * (700.0 - kingpin)
    turned = np.radians(steer)
    out = (kingpin + HALF) * np.cos(turned) + RADIUS * np.sin(turned)
    far = made.bounds[:, 1] * side - side * pin
    assert far.max() == pytest.approx(out, abs=OVER)
    assert made.bounds[1, 0] - 600 == pytest.approx(
        RADIUS * np.cos(turned) + (kingpin + HALF) * np.sin(turned), abs=OVER
    )


@settings(max_examples=25, deadline=None)
@given(st.floats(0, 40), st.floats(-50, 150), st.floats(0, 100), st.floats(0, 100), st.integers(0, 10**6))
def test_no_pose_of_the_tyre_leaves_it(steer, kingpin, bump, droop, seed):
    """Places on the tyre, steered and travelled as it may, lie inside."""
    given_wheel = wheel(steer=steer, kingpin=kingpin, bump=bump, droop=droop)
    inside = MeshDistance(wheel_envelope(given_wheel).mesh())
    rng = np.random.default_rng(seed)
    turns, across = rng.uniform(0, 2 * np.pi, 300), rng.uniform(-HALF, HALF, 300)
    tyre_places = np.column_stack([RADIUS * np.cos(turns), across + kingpin, RADIUS * np.sin(turns)])
    angle, up = np.radians(rng.uniform(-steer, steer)), rng.uniform(-droop, bump)
    turn = np.array([[np.cos(angle), -np.sin(angle), 0], [np.sin(angle), np.cos(angle), 0], [0, 0, 1]])
    placed = tyre_places @ turn.T + [600.0, 700.0 - kingpin, 300.0 + up]
    assert inside.depth(placed).min() > -1e-6
