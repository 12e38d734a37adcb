"""Limits of size of ISO 286: tolerance grades, shafts, holes, and the clearance of a pair such as H7/g6."""

from __future__ import annotations

import bisect
import re
from dataclasses import dataclass

from sections.standards.table import read_table

# What a pair looks like; the letters and grades are those of the table.
PAIR_PATTERN = r"^[D-H](5|6|7|8|9|10|11|12|13|14)/[d-hkmnp](5|6|7|8|9|10|11|12|13|14)$"
_PLAIN_K = range(4, 8)


@dataclass(frozen=True)
class Limits:
    """Lower and upper limit of a size, mm, as deviations from its nominal."""

    lower: float
    upper: float

    @property
    def middle(self) -> float:
        """Half way between the two, mm."""
        return (self.lower + self.upper) / 2

    @property
    def width(self) -> float:
        """The tolerance, mm."""
        return self.upper - self.lower


def grade_width(diameter: float, grade: int) -> float:
    """Return the standard tolerance IT`grade`, mm, of a diameter, mm. Raises ValueError outside the table."""
    try:
        return read_table("limits")["grades"][str(grade)][_step(diameter)] / 1000
    except KeyError:
        raise ValueError(f"no IT{grade} in the table") from None


def shaft_limits(diameter: float, zone: str) -> Limits:
    """Return the limits, mm, of a shaft such as g6. Raises ValueError for a zone or diameter the table lacks."""
    letter, grade = zone[0], int(zone[1:])
    width, table = grade_width(diameter, grade), read_table("limits")
    if letter in table["upper"]:
        upper = table["upper"][letter][_step(diameter)] / 1000
        return Limits(upper - width, upper)
    if letter not in table["lower"]:
        raise ValueError(f"no shaft {letter} in the table")
    lower = 0.0 if letter == "k" and grade not in _PLAIN_K else table["lower"][letter][_step(diameter)] / 1000
    return Limits(lower, lower + width)


def hole_limits(diameter: float, zone: str) -> Limits:
    """Return the limits, mm, of a hole such as H7: D to H, mirror of the shaft of that letter. Raises ValueError."""
    if zone[0] not in "DEFGH":
        raise ValueError(f"no hole {zone[0]} in the table")
    mirror = shaft_limits(diameter, zone.lower())
    lower = -mirror.upper
    return Limits(lower, lower + mirror.width)


@dataclass(frozen=True)
class Pair:
    """A hole and a shaft of one nominal diameter, mm."""

    diameter: float
    hole: Limits
    shaft: Limits

    @property
    def least(self) -> float:
        """The least clearance, mm, diametral; negative where it is interference."""
        return self.hole.lower - self.shaft.upper

    @property
    def most(self) -> float:
        """The largest clearance, mm, diametral."""
        return self.hole.upper - self.shaft.lower


def pair_of(diameter: float, text: str) -> Pair:
    """Return the pair written as "H7/g6" at a diameter, mm. Raises ValueError when it is none, or not in the table."""
    if not re.match(PAIR_PATTERN, text):
        raise ValueError(f"{text!r} is no pair such as H7/g6")
    hole, shaft = text.split("/")
    return Pair(diameter, hole_limits(diameter, hole), shaft_limits(diameter, shaft))


def _step(diameter: float) -> int:
    """Return the column of a diameter; a diameter on a step belongs to the step below."""
    steps = read_table("limits")["steps"]
    if not 0 < diameter <= steps[-1]:
        raise ValueError(f"{diameter:g} mm is not over 0 up to {steps[-1]} mm")
    return bisect.bisect_left(steps, diameter)
