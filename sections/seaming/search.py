"""The search: equal slices of equal slices of strips, in every order of directions, the cheapest kept.

The cheapest of the places near an equal cut is taken only once cuts are settled: taken at once, a benchmark body cost
132 sections, not 119, in twice the time, because cuts moved one by one no longer line up. Ways to begin tried in lots
waited for the longest of each lot: 2 s of 14 on two processors.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from sections.numbers.frame import Plane
from sections.seaming.hanging import directions_of
from sections.seaming.rules import SeamRules
from sections.seaming.shell import Shell, Split
from sections.seaming.slices import sliced

# How often slices are sliced again before strips are made of them.
DEPTH = 2
# Directions in which a part is made a strip: its longest ones.
_STRIP_WAYS = 3
# Where a cut between equal slices may be moved to, in slices.
_SHIFTS = (0.0, -0.04, 0.04, -0.08, 0.08, -0.12, 0.12, -0.18, 0.18, -0.25, 0.25)
# The first slice, and those up to a later one, that cost so many times what the limit leaves them on average promise no
# better.
_FIRST_HOPE, _HOPE = 2.0, 1.2


@dataclass(frozen=True)
class Node:
    """A part of the body and how it is cut. planes : parallel, in order along their common normal. parts : the slices,
    one more than planes, from the low end on. settled : whether its own cuts lie where they are to stay."""

    planes: tuple[Plane, ...] = ()
    parts: tuple[Node, ...] = ()
    settled: bool = False


@dataclass(frozen=True)
class Found:
    """A plan of a part. cost : in sections."""

    cost: float
    node: Node


@dataclass(frozen=True)
class Way:
    """One way to begin. along : (3,) unit. count : how many equal slices, each to be cut further; 0 for a strip."""

    along: tuple[float, float, float]
    count: int


def solve(shell: Shell, rules: SeamRules, depth: int, limit: float) -> Found | None:
    """Return the cheapest plan found for a shell that costs less than `limit` sections, or None.

    depth : how often, a number, equal slices may be made of it before strips.
    """
    whole = rules.fitting(shell)
    if whole is not None:
        return Found(whole, Node()) if whole < limit else None
    if rules.least(0.0) >= limit:
        return None
    best = None
    for way in ways(shell, rules, depth):
        found = begin(shell, way, rules, depth, best.cost if best else limit)
        best = found or best
    return best


def ways(shell: Shell, rules: SeamRules, depth: int) -> Iterator[Way]:
    """Yield the ways to begin on a shell: strips first, for they give a limit soonest."""
    directions = directions_of(shell)
    lengths = [float(np.ptp(shell.vertices @ along)) for along in directions]
    for number in np.argsort(lengths)[::-1][:_STRIP_WAYS]:
        yield Way(tuple(map(float, directions[number])), 0)
    if not depth:
        return
    for number, (along, length) in enumerate(zip(directions, lengths, strict=True)):
        most = int(np.ceil(length / rules.bed))
        if most > 1:
            least = max(2, int(np.ceil(length / (np.sqrt(2) * rules.bed))))
            for count in range(least, most + 1) if number < 3 else (2,):
                yield Way(tuple(map(float, along)), count)


def begin(shell: Shell, way: Way, rules: SeamRules, depth: int, limit: float) -> Found | None:
    """Return the cheapest plan found for a shell begun one way that costs less than `limit` sections, or None."""
    along = np.array(way.along)
    if not way.count:
        strip = sliced(shell, along, rules, limit)
        return strip and Found(strip.cost, Node(strip.planes, (Node(),) * (len(strip.planes) + 1)))
    where = shell.vertices @ along
    low, step = where.min(), np.ptp(where) / way.count
    cost, planes, parts, rest = 0.0, [], [], shell
    for number in range(1, way.count + 1):
        part = rest
        if number < way.count:
            cut = _cut(rest, way.along, float(low + number * step), step, rules)
            if cut is None:
                return None
            plane, split, price = cut
            cost, part, rest = cost + price, split.short, split.beyond
            planes.append(plane)
        most = limit * min(1.0, (_FIRST_HOPE if number == 1 else _HOPE) * number / way.count)
        found = Found(0.0, Node()) if not len(part) else solve(part, rules, depth - 1, most - cost)
        if found is None:
            return None
        cost += found.cost
        parts.append(found.node)
    return Found(cost, Node(tuple(planes), tuple(parts))) if cost < limit else None


def amended(shell: Shell, node: Node, rules: SeamRules, depth: int) -> Found | None:
    """Return a plan of a shell that keeps to rules that have changed since, searched anew only where `node` no longer
    does; None where none of it can stay."""
    if not node.planes:
        whole = rules.fitting(shell)
        return None if whole is None else Found(whole, node)
    cut = _recut(shell, node.planes, rules)
    if cut is None:
        return None
    planes, shells, cost = cut
    parts = []
    is_strip = not any(part.planes for part in node.parts)
    for own, part in zip(shells, node.parts, strict=True):
        found = amended(own, part, rules, depth - 1) if len(own) else Found(0.0, Node())
        if found is None and not is_strip:
            found = solve(own, rules, depth - 1, np.inf)
        if found is None:
            return None
        cost += found.cost
        parts.append(found.node)
    return Found(cost, replace(node, planes=planes, parts=tuple(parts)))


def _recut(
    shell: Shell, planes: tuple[Plane, ...], rules: SeamRules
) -> tuple[tuple[Plane, ...], list[Shell], float] | None:
    """Return (the cuts, those that may no longer run moved to where they may, the parts from the low end on, what the
    cuts cost), or None where one may run nowhere near."""
    cost, cuts, parts, rest = 0.0, [], [], shell
    at = float((shell.vertices @ np.array(planes[0].normal)).min())
    for plane in planes:
        cut = _cut(rest, plane.normal, plane.offset, plane.offset - at, rules)
        if cut is None:
            return None
        moved, split, price = cut
        cost, rest, at = cost + price, split.beyond, plane.offset
        cuts.append(moved)
        parts.append(split.short)
    return tuple(cuts), [*parts, rest], cost


def _cut(shell: Shell, along, at: float, step: float, rules: SeamRules) -> tuple[Plane, Split, float] | None:
    """Return (plane, split, price) of a cut at a place, or the nearest to it where one may run; None without one."""
    for shift in _SHIFTS:
        plane = Plane(along, at + shift * step)
        split = shell.split(plane, rules.depths)
        price = rules.price(shell, split, plane)
        if price is not None:
            return plane, split, price
    return None
