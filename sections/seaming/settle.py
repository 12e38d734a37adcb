"""Settling a plan: the cuts of its strips go where they cost least and end where they meet others, or well off them."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np

from sections.numbers.frame import Plane
from sections.seaming.junctions import Junctions
from sections.seaming.rules import SeamRules
from sections.seaming.search import Node
from sections.seaming.shell import Shell, Split
from sections.seaming.slices import plane_at

# In bed widths, between the places looked at for a cut; mm, between two that are one.
_SPACING, _SAME = 0.05, 0.05
# How many lots the work on one strip is done in.
_LOTS = 4

# Does a function of some arguments, and of the rules as its last one, for each of some tasks, at once or one by one.
Share = Callable[[Callable, list[tuple]], list[Any]]


@dataclass(frozen=True)
class _Place:
    """Where a cut may go: at, mm along the strip, what it costs there, and the skin short of it, mm2."""

    at: float
    cost: float
    area: float


def settled(shell: Shell, node: Node, rules: SeamRules, junctions: Junctions, share: Share | None = None) -> Node:
    """Return a plan with the cuts of its strips settled; those of slices that are cut further stay, and those that are
    settled already."""
    share = share or (lambda function, tasks: [function(*task, rules) for task in tasks])
    if not node.planes:
        return node
    along = np.array(node.planes[0].normal)
    is_strip = not any(part.planes for part in node.parts)
    free = is_strip and not node.settled
    planes = _strip(shell, along, node.planes, rules, junctions, share) if free else node.planes
    splits = _splits(shell, planes, rules)
    for split in splits:
        junctions.add(split)
    if is_strip:
        return Node(planes, (Node(),) * (len(planes) + 1), True)
    slices = zip(_slices(shell, splits), node.parts, strict=True)
    parts = [settled(of, part, rules, junctions, share) for of, part in slices]
    return Node(planes, tuple(parts), True)


def _splits(shell: Shell, planes: tuple[Plane, ...], rules: SeamRules) -> list[Split]:
    """Return a shell split by planes one after another, each beyond the one before."""
    splits: list[Split] = []
    for plane in planes:
        splits.append((splits[-1].beyond if splits else shell).split(plane, rules.depths))
    return splits


def _slices(shell: Shell, splits: list[Split]) -> list[Shell]:
    """Return what a shell was split into, from the low end on."""
    return [split.short for split in splits] + [splits[-1].beyond if splits else shell]


def _strip(
    shell: Shell, along: np.ndarray, first: tuple[Plane, ...], rules: SeamRules, junctions: Junctions, share: Share
) -> tuple[Plane, ...]:
    """Return the cheapest cuts of a strip that all fit, those it came with among them."""
    where = shell.vertices @ along
    ends = float(where.min()), float(where.max())
    wanted = _wanted(shell, along, ends, [plane.offset for plane in first], rules, junctions)
    between = _each(share, places_at, [(shell, along, lot, junctions) for lot in np.array_split(wanted, _LOTS)])
    places = [_Place(ends[0], 0.0, 0.0), *between, _Place(ends[1], 0.0, shell.area)]
    at, lots = [place.at for place in places], np.array_split(np.arange(len(places)), _LOTS)
    reach = _each(share, reaches, [(shell, along, at, lot) for lot in lots])
    mean = shell.area / (len(first) + 1)
    cost, before = np.full(len(places), np.inf), np.zeros(len(places), int)
    cost[0] = 0.0
    for start, place in enumerate(places):
        for stop in range(start + 1, reach[start] + 1):
            uneven = _uneven(places[stop].area - place.area, mean, rules)
            total = cost[start] + 1 + uneven + places[stop].cost
            if total < cost[stop]:
                cost[stop], before[stop] = total, start
    if not np.isfinite(cost[-1]):
        return first
    chosen, at = [], int(before[-1])
    while at:
        chosen.append(plane_at(along, places[at].at))
        at = int(before[at])
    planes = tuple(reversed(chosen))
    return min((planes, first), key=lambda one: _cost(shell, one, mean, rules, junctions))


def _each(share: Share, function: Callable, tasks: list[tuple]) -> list:
    """Return what a function returns for all tasks, one after another, in one list."""
    return [one for some in share(function, tasks) for one in some]


def _uneven(area: float, mean: float, rules: SeamRules) -> float:
    """Return what a slice of so much skin, mm2, costs for not being as large as the others, in sections."""
    return rules.weights.uneven * (area / mean - 1) ** 2


def _cost(shell: Shell, planes: tuple[Plane, ...], mean: float, rules: SeamRules, junctions: Junctions) -> float:
    """Return what a strip with these cuts costs, in sections; infinite where it cannot be."""
    splits = _splits(shell, planes, rules)
    slices = _slices(shell, splits)
    costs = [rules.fitting(part) for part in slices if len(part)]
    costs += [_uneven(part.area, mean, rules) for part in slices]
    costs += [_price(shell, split, plane, rules, junctions) for split, plane in zip(splits, planes, strict=True)]
    return np.inf if None in costs else float(sum(costs))


def _wanted(shell: Shell, along: np.ndarray, ends, first: list[float], rules: SeamRules, junctions: Junctions):
    """Return where a cut of a strip is tried, in order: at `first`, evenly, where other cuts end, a run off them."""
    met = junctions.within(np.array([shell.vertices.min(0), shell.vertices.max(0)])) @ along
    evenly = np.arange(ends[0] + rules.shortest, ends[1] - rules.shortest, _SPACING * rules.bed)
    wanted = np.sort(np.concatenate([first, evenly, met, met - junctions.run - 1, met + junctions.run + 1]))
    wanted = wanted[(wanted >= ends[0] + rules.shortest) & (wanted <= ends[1] - rules.shortest)]
    return wanted[np.diff(wanted, prepend=-np.inf) > _SAME]


def places_at(
    shell: Shell, along: np.ndarray, wanted: np.ndarray, junctions: Junctions, rules: SeamRules
) -> list[_Place]:
    """Return where a strip may be cut, of the places (k,) mm along it where that is tried."""
    places = []
    for at in wanted:
        plane = plane_at(along, at)
        split = shell.split(plane, rules.depths)
        price = _price(shell, split, plane, rules, junctions)
        if price is not None:
            places.append(_Place(float(at), price, split.short.area))
    return places


def _price(shell: Shell, split: Split, plane: Plane, rules: SeamRules, junctions: Junctions) -> float | None:
    """Return what a cut costs, in sections, its ends included; None where it may not run."""
    price = rules.price(shell, split, plane)
    return None if price is None else price + rules.weights.offset * junctions.clashes(split)


def reaches(shell: Shell, along: np.ndarray, places: list[float], starts: np.ndarray, rules: SeamRules) -> list[int]:
    """Return for some of the places, mm along a strip, by their numbers (k,) in order, the number of the farthest one a
    slice from each can end at; from a later place none ends nearer."""
    reach, stop = [], 0
    for start in map(int, starts):
        stop, at = max(stop, start), places[start]
        rest = shell.short_of(along, at + rules.reach + _SAME)
        rest = rest.split(plane_at(along, at), rules.depths).beyond if start else rest
        while stop + 1 < len(places) and places[stop + 1] <= at + rules.reach:
            last = stop + 2 == len(places)
            part = rest if last else rest.split(plane_at(along, places[stop + 1]), rules.depths).short
            if len(part) and rules.fitted(part) is None:
                break
            stop += 1
        reach.append(stop)
    return reach
