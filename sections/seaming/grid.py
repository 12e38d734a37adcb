"""What to hold a plan against: the even grid, and the fewest sections there could be."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from sections.numbers.frame import Plane
from sections.seaming.shell import Depths, Shell, Split


@dataclass(frozen=True)
class GridCut:
    """A cut of what was left of a part, and what came of it."""

    whole: Shell
    split: Split
    plane: Plane


def grid_count(shell: Shell, room: np.ndarray) -> int:
    """Return how many sections an even grid along the axes gives: each separate piece of skin in each of its cells.

    room : (3,) mm, no cell is larger. The fewest cells along each axis are taken.
    """
    parts = [shell]
    for axis, size in zip(np.eye(3), room, strict=True):
        parts = [part for whole in parts for part in _evenly(whole, shell, axis, float(size))]
    return sum(len(part.pieces()) for part in parts)


def _evenly(part: Shell, whole: Shell, axis: np.ndarray, size: float) -> list[Shell]:
    where = whole.vertices @ axis
    low, length = float(where.min()), float(np.ptp(where))
    count = math.ceil(length / size - 1e-9)
    return in_slices(part, axis, low + length * np.arange(1, count) / count, Depths(0.0, 0.0, 0.0))[0]


def in_slices(
    part: Shell, axis: np.ndarray, places: Iterable[float], depths: Depths
) -> tuple[list[Shell], list[GridCut]]:
    """Return (the slices of a part between cuts square to an axis, (3,), at places in order, mm; the cuts)."""
    made, cuts, rest = [], [], part
    for at in places:
        plane = Plane(tuple(axis), float(at))
        split = rest.split(plane, depths)
        cuts.append(GridCut(rest, split, plane))
        made.append(split.short)
        rest = split.beyond
    return [one for one in [*made, rest] if len(one)], cuts


def least_count(shell: Shell, thickness: float, room: np.ndarray) -> int:
    """Return the fewest sections by volume: a wall of that thickness, mm, in rooms (3,) mm full to the last corner."""
    return max(1, math.ceil(shell.area * thickness / float(np.prod(room))))
