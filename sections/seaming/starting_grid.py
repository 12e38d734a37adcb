"""Cuts along the axes to start from: even, and moved until few sections are slivers and few seams lack room for joints.

Of a ship's hull on an even grid of 10, 2 and 2 cuts two sections were 75 x 69 x 18 mm, and nothing joined them.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sections.seaming.grid import in_slices
from sections.seaming.rules import SeamRules
from sections.seaming.shell import Shell

# Places tried for the first of an axis's cuts, and distances from one to the next.
_FIRSTS, _STEPS = 5, 3
# What a cut that may not run, and a part that does not fit, count as, in sections.
_BARRED = 8.0


@dataclass(frozen=True)
class _Axis:
    """The body along one axis. low, length : mm, where it lies. most : mm, no part is longer. least : mm, none is
    shorter. even : whether cuts lie alike on either side of the middle."""

    low: float
    length: float
    most: float
    least: float
    even: bool

    def tries(self) -> list[tuple[float, ...]]:
        """Return the cuts, mm, that are tried; the even ones first."""
        count = int(np.ceil(self.length / self.most))
        if count < 2:
            return [()]
        mean = self.length / count
        tries = {tuple(mean * np.arange(1, count)): None}
        widest = min(self.most, (self.length - 2 * self.least) / max(count - 2, 1))
        for step in np.linspace(mean, max(widest, mean), _STEPS if count > 2 else 1):
            ends = self.length - (count - 2) * step
            first = np.linspace(max(self.least, ends - self.most), min(self.most, ends - self.least), _FIRSTS)
            for begin in [ends / 2] if self.even else first:
                tries[tuple(begin + step * np.arange(count - 1))] = None
        return [tuple(round(float(self.low + at), 1) + 0.0 for at in cuts) for cuts in tries]


def starting_grid(shell: Shell, rules: SeamRules, room: np.ndarray, *, mirrored: bool) -> tuple[tuple[float, ...], ...]:
    """Return where a body is cut along x, y and z, mm: the fewest even parts that fit `room`, (3,) mm, moved to where
    they cost least by the rules.

    shell : of the trial skin. mirrored : whether the body is its own mirror image in y = 0, and its cuts are so.
    """
    low, length = shell.vertices.min(0), np.ptp(shell.vertices, axis=0)
    axes = [
        _Axis(float(low[n]), float(length[n]), float(room[n]), rules.shortest, mirrored and n == 1) for n in range(3)
    ]
    tries = [axis.tries() for axis in axes]
    taken = [some[0] for some in tries]
    # The axis with the most cuts last: what lies across it is settled by then.
    for number in np.argsort([len(cuts) for cuts in taken], kind="stable"):
        if len(tries[number]) > 1:
            costs = [_cost(shell, rules, [*taken[:number], cuts, *taken[number + 1 :]]) for cuts in tries[number]]
            taken[number] = tries[number][int(np.argmin(costs))]
    return tuple(taken)


def _cost(shell: Shell, rules: SeamRules, grid: list[tuple[float, ...]]) -> float:
    """Return what a grid costs, in sections."""
    parts, cost = [shell], 0.0
    for axis, cuts in zip(np.eye(3), grid, strict=True):
        sliced = [in_slices(part, axis, cuts, rules.depths) for part in parts]
        parts = [part for slices, _ in sliced for part in slices]
        for one in (one for _, made in sliced for one in made if len(one.split.short) and len(one.split.beyond)):
            price = rules.price(one.whole, one.split, one.plane)
            cost += _BARRED if price is None else price
    worths = [rules.fitting(part) for part in parts]
    return cost + sum(_BARRED if worth is None else worth for worth in worths)
