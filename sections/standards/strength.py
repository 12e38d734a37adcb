"""What plastic carries around a bolt or an insert: estimates, for sizing. The part is to be proved by test.

Loads N, lengths mm, stresses MPa. The forms are those of any book on the strength of materials (from memory); the
washer's bearing area pi/4 (d2^2 - d0^2) is that of strokeforge.tech, engineering note 002.
"""

from __future__ import annotations

import math

from sections.standards.inserts import Insert


def shear_of(allowable: float) -> float:
    """Return the shear stress, MPa, that counts as much as a pull of `allowable`: by von Mises, 1/sqrt(3) of it."""
    return allowable / math.sqrt(3)


def pull_out(insert: Insert, allowable: float) -> float:
    """Return the pull, N, at which the plastic around an insert's knurl is sheared to what is allowed.

    The cylinder pi d l over the knurl shears; inserts melted in badly hold less.
    """
    return math.pi * insert.outer * insert.length * shear_of(allowable)


def bearing_area(washer: float, hole: float, travel: float = 0.0) -> float:
    """Return the plastic under a washer, mm2: pi/4 (d2^2 - d0^2) over a round hole; over a slot longer than the washer
    the circle less the strip of the slot's width.

    washer, hole : diameters, mm. travel : mm, by which the slot is longer than it is wide.
    """
    circle = math.pi / 4 * washer**2
    if travel <= 0:
        return circle - math.pi / 4 * hole**2
    radius, half = washer / 2, hole / 2
    strip = 2 * (half * math.sqrt(radius**2 - half**2) + radius**2 * math.asin(half / radius))
    return circle - strip


def lip_thickness(load: float, washer: float, allowable: float) -> float:
    """Return how thick, mm, the plastic under a washer in a channel must be, so that it does not shear off along the
    channel: two planes, each as long as the washer is wide."""
    return load / (2 * washer * shear_of(allowable))
