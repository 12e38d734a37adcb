"""In which order sections go together, each step on a straight path."""

from __future__ import annotations

from sections.plan.model import PlannedStep
from sections.plan.seams import Seam

# Where a section lies: (seam, +1 or -1) for every cut that parted it from others.
Sides = dict[str, int]


def assembly_steps(seams: tuple[Seam, ...], sides: dict[str, Sides]) -> tuple[PlannedStep, ...]:
    """Return the steps that put sections together: the cuts undone, last first.

    Each cut parted one block by a plane, so what lies on either side, put together before, meets the other in that
    plane alone, and comes onto it along the plane's normal. The smaller side is moved. sides : of every section.
    """
    steps = []
    for number in range(len(seams) - 1, -1, -1):
        seam, earlier = seams[number], {other.id for other in seams[:number]}
        blocks: dict[frozenset, dict[int, list[str]]] = {}
        for section, its in sides.items():
            if seam.id in its:
                block = frozenset((name, sign) for name, sign in its.items() if name in earlier)
                blocks.setdefault(block, {1: [], -1: []})[its[seam.id]].append(section)
        for both in blocks.values():
            if both[1] and both[-1]:
                sign = 1 if len(both[1]) <= len(both[-1]) else -1
                # From the plus side it comes against the normal.
                direction = tuple(-sign * c + 0.0 for c in seam.plane.normal)
                steps.append(PlannedStep(seam.id, direction, tuple(both[sign]), tuple(both[-sign])))
    return tuple(steps)
