"""Adding up tolerances: worst case and root sum of squares (Scholz, Tolerance stack analysis methods, Boeing 1995)."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal


@dataclass(frozen=True)
class Contributor:
    """One contributor. most : what it can add at worst, plus and minus, mm. usual : what it adds as one of many that
    are independent, three standard deviations, mm; equal to `most` unless it is itself a sum."""

    name: str
    most: float
    usual: float


def contributor(name: str, most: float) -> Contributor:
    """Return a contributor that is no sum of others. most : mm, either way."""
    return Contributor(name, most, most)


def worst_case(parts: Sequence[Contributor]) -> float:
    """Return what contributors add up to with all at their worst, mm."""
    return sum(one.most for one in parts)


def root_sum_square(parts: Sequence[Contributor]) -> float:
    """Return what independent contributors add up to in all but 27 of 10000, mm."""
    return math.sqrt(sum(one.usual**2 for one in parts))


@dataclass(frozen=True)
class Lever:
    """What halving one contributor buys. worst, usual : by which the two sums fall, mm."""

    part: Contributor
    worst: float
    usual: float


def levers(parts: Sequence[Contributor], count: int, kind: Literal["usual", "worst"] = "usual") -> list[Lever]:
    """Return the contributors whose halving buys most of the root sum of squares, or of the worst case, best first."""
    whole = root_sum_square(parts)
    made = [
        Lever(one, one.most / 2, whole - math.sqrt(max(whole**2 - 0.75 * one.usual**2, 0.0)))
        for one in parts
    ]  # fmt: skip
    return sorted(made, key=lambda lever: (-getattr(lever, kind), -lever.worst, lever.part.name))[:count]
