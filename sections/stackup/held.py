"""What the sections hang on: one that is the datum, or those a jig holds; and which hang on nothing."""

from __future__ import annotations

from collections import deque

import numpy as np

from sections.stackup.network import Solid
from sections.stackup.ties import Tie

# mm; how truly the datum is where it is.
_TRUE = 1e-3
_WAYS = np.eye(3)


def held_ties(solid: Solid, off: float | None) -> list[Tie]:
    """Return what holds a section in its place: three ties at its middle and three against turning, at half its size.

    off : mm, by which a jig may be wrong; None for the datum, which is where it is.
    """
    wrong, name = (_TRUE, "datum") if off is None else (max(off, _TRUE), f"jig, {solid.id}")
    ties = [Tie(name, "", solid.id, solid.middle, way, wrong) for way in _WAYS]
    for axis in range(3):
        along, across = solid.axes[:, axis], solid.axes[:, (axis + 1) % 3]
        ties.append(Tie(name, "", solid.id, solid.middle + along * solid.size[axis] / 2, across, wrong))
    return ties


def steps_from(held: tuple[str, ...], ties: list[Tie]) -> dict[str, int]:
    """Return how many pairs lie between what is held and each section that can be reached."""
    beside: dict[str, set[str]] = {}
    for tie in ties:
        beside.setdefault(tie.minus, set()).add(tie.plus)
        beside.setdefault(tie.plus, set()).add(tie.minus)
    steps = dict.fromkeys(held, 0)
    queue = deque(held)
    while queue:
        here = queue.popleft()
        for there in sorted(beside.get(here, ())):
            if there not in steps:
                steps[there] = steps[here] + 1
                queue.append(there)
    return steps


def most_central(sections: list[str], ties: list[Tie]) -> str:
    """Return the section from which the farthest is fewest pairs away, of those that reach most."""

    def far(section: str) -> tuple[int, int, str]:
        steps = steps_from((section,), ties)
        return -len(steps), max(steps.values()), section

    return min(sections, key=far)
