"""Where a wheel can go: its tyre at its largest, steered and travelled, all in one solid.

One direction of the tyre after another leaves scallops between that no tyre would: near its top it is narrower than
it moves to the side. Each two directions are hulled.
"""

from __future__ import annotations

from itertools import pairwise

import numpy as np

from sections.settings.donor import Wheel
from sections.solids.print_solid import PrintSolid
from sections.standards.tyres import tyre

# Corners of a tyre's outline; mm, by which the solid may be too large between two directions it is steered to.
_CORNERS, _CHORD = 96, 0.2


def wheel_envelope(wheel: Wheel) -> PrintSolid:
    """Return all that a wheel can fill, vehicle frame, mm; nowhere smaller than that, and by 0.5 mm larger at most.

    The tyre is a cylinder of its largest diameter and width, its shoulders square; it steers about an upright axis and
    travels straight up and down.
    """
    diameter, width = _largest(wheel)
    centre = np.array(wheel.centre)
    inboard = -np.sign(centre[1]) if centre[1] else 1.0
    pin = centre + [0.0, inboard * wheel.kingpin, 0.0]
    reach = np.hypot(diameter / 2, width / 2 + abs(wheel.kingpin))
    solid = _cylinder(diameter / 2 + _CHORD, width / 2 + _CHORD) + (centre - pin)
    step = 2 * np.arccos(1 - _CHORD / reach)
    steer = np.radians(wheel.steer)
    travel = np.array([[0.0, 0.0, wheel.bump], [0.0, 0.0, -wheel.droop]])
    poses = []
    for angle in np.linspace(-steer, steer, 1 + int(np.ceil(2 * steer / step))):
        turn = np.array([[np.cos(angle), -np.sin(angle), 0.0], [np.sin(angle), np.cos(angle), 0.0], [0.0, 0.0, 1.0]])
        poses.append(np.vstack([solid @ turn.T + pin + way for way in travel]))
    # Between two directions all goes along chords, but for what the solid is larger by.
    hulls = [PrintSolid.hull(np.vstack(two)) for two in pairwise(poses)] or [PrintSolid.hull(poses[0])]
    return hulls[0].unite(hulls[1:])


def _largest(wheel: Wheel) -> tuple[float, float]:
    """Return how large a wheel's tyre may be: diameter and width, mm."""
    if wheel.tyre is None:
        return wheel.diameter, wheel.width
    made = tyre(wheel.tyre)
    return made.largest_diameter, made.largest_width


def _cylinder(radius: float, half_width: float) -> np.ndarray:
    """Return the corners, (n, 3), of a prism around a cylinder along y."""
    turns = np.linspace(0, 2 * np.pi, _CORNERS, endpoint=False)
    ring = radius / np.cos(np.pi / _CORNERS) * np.column_stack([np.cos(turns), np.sin(turns)])
    return np.array([(x, side * half_width, z) for side in (-1, 1) for x, z in ring])
