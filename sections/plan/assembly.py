"""In which order sections go together, each step on a straight path."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator

from sections.plan.model import PlannedStep
from sections.plan.seams import Seam

# Where a section lies: (seam, +1 or -1) for every cut that parted it from others.
Sides = dict[str, int]
# Sections that hold together.
Group = frozenset[str]


def assembly_steps(
    seams: tuple[Seam, ...], sides: dict[str, Sides], contacts: Iterable[tuple[str, str, str]]
) -> tuple[PlannedStep, ...]:
    """Return the steps that put sections together: the cuts undone, last first.

    Each cut parted one block by a plane, so what lies on either side, put together before, meets the other in that
    plane alone, and comes onto it along the plane's normal. What does not touch is not joined: where a side holds
    together only by the other, its pieces come on one by one, the largest first. sides : of every section. contacts :
    (seam, section on its minus side, section on its plus side) of every two that meet.
    """
    meets = defaultdict(list)
    for seam, minus, plus in contacts:
        meets[seam].append((minus, plus))
    group = {section: frozenset([section]) for section in sides}
    steps = []
    for number in range(len(seams) - 1, -1, -1):
        seam, earlier = seams[number], {other.id for other in seams[:number]}
        blocks = defaultdict(set)
        for section, its in sides.items():
            if seam.id in its:
                blocks[frozenset((name, sign) for name, sign in its.items() if name in earlier)].add(section)
        for block in blocks.values():
            pairs = [pair for pair in meets[seam.id] if block.issuperset(pair)]
            for moved, onto in _joined(pairs, group):
                # From the plus side it comes against the normal.
                sign = -sides[next(iter(moved))][seam.id]
                direction = tuple(sign * c + 0.0 for c in seam.plane.normal)
                steps.append(PlannedStep(seam.id, direction, _in_order(moved, sides), _in_order(onto, sides)))
    return tuple(steps)


def _joined(pairs: list[tuple[str, str]], group: dict[str, Group]) -> Iterator[tuple[Group, Group]]:
    """Yield (what is moved, what it is brought onto) until all that meets across a seam holds together; `group`, the
    sections each one holds together with, is brought up to date."""
    while True:
        apart = [(group[minus], group[plus]) for minus, plus in pairs if group[minus] != group[plus]]
        if not apart:
            return
        # The largest first, and what is smaller is moved onto it.
        onto, moved = max((sorted(two, key=_size, reverse=True) for two in apart), key=lambda two: _size(two[0]))
        yield moved, onto
        for section in (whole := moved | onto):
            group[section] = whole


def _size(group: Group) -> tuple[int, list[str]]:
    return len(group), sorted(group)


def _in_order(group: Group, sides: dict[str, Sides]) -> tuple[str, ...]:
    """Return the sections of a group in the order they are listed in."""
    return tuple(section for section in sides if section in group)
