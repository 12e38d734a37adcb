"""What to hold a plan against: the even grid, and the fewest sections there could be."""

from __future__ import annotations

import math

import numpy as np

from sections.numbers.frame import Plane
from sections.seaming.shell import Depths, Shell


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
    made, rest = [], part
    for number in range(1, count):
        split = rest.split(Plane(tuple(axis), low + length * number / count), Depths(0.0, 0.0, 0.0))
        made.append(split.short)
        rest = split.beyond
    return [one for one in [*made, rest] if len(one)]


def least_count(shell: Shell, thickness: float, room: np.ndarray) -> int:
    """Return the fewest sections by volume: a wall of that thickness, mm, in rooms (3,) mm full to the last corner."""
    return max(1, math.ceil(shell.area * thickness / float(np.prod(room))))
