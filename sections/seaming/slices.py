"""Cutting a strip: as few slices along one direction as fit."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sections.numbers.frame import Plane
from sections.seaming.rules import SeamRules
from sections.seaming.shell import Shell, Split

# mm; how exactly the longest slice that fits is found, and how far back a cut goes at a time to where it may run.
_STEP, _BACK = 5.0, 4.0
_BACK_TRIES, _MOST_CUTS = 12, 200
# As few slices come off either end: the other is tried where those of one cost so much more than their number.
_DEAR = 0.5


@dataclass(frozen=True)
class Sliced:
    """cost : in sections. planes : the cuts, in order along their normals."""

    cost: float
    planes: tuple[Plane, ...]


@dataclass(frozen=True)
class _Peeled(Sliced):
    """Slices off one end. cost : infinite where no more fit. count : how many. done : whether they are all there is,
    within the limit."""

    count: int
    done: bool

    @property
    def is_dear(self) -> bool:
        """Whether they cost much more than so many should."""
        return self.cost - self.count > _DEAR


@dataclass(frozen=True)
class _Slice:
    """What a cut at a place parts off, whether or not it may run there, and the sections that makes, as their
    pieces."""

    at: float
    groups: list[list[Shell]]
    split: Split


def sliced(shell: Shell, along: np.ndarray, rules: SeamRules, limit: float) -> Sliced | None:
    """Return the fewest slices of a shell along a unit vector (3,) that all fit, each as long as it may be, begun from
    whichever end is better; None when some part fits in no length, or all of it would cost `limit` or more."""
    ahead = _peeled(shell, along, rules, limit)
    if ahead.is_dear:
        back = _peeled(shell, -along, rules, ahead.cost if ahead.done else limit)
        if back.done:
            return Sliced(back.cost, tuple(plane.flipped() for plane in reversed(back.planes)))
    return ahead if ahead.done else None


def _peeled(shell: Shell, along: np.ndarray, rules: SeamRules, limit: float) -> _Peeled:
    """Return a shell sliced from its low end on until the cost is sure to reach `limit`."""
    where = shell.vertices @ along
    at, end, cost, last, rest = float(where.min()), float(where.max()), 0.0, 0.0, shell
    planes: list[Plane] = []
    while len(planes) < _MOST_CUTS:
        whole = rules.fitting(rest) if end - at < rules.reach else None
        if whole is not None:
            cost += whole
            return _Peeled(cost, tuple(planes), len(planes) + 1, cost < limit)
        if cost + rules.least(end - at) >= limit:
            break
        near = rest.short_of(along, at + rules.reach + _STEP + rules.beside)
        found = _longest(near, along, (at, end), last, rules)
        if found is None:
            return _Peeled(np.inf, tuple(planes), len(planes), False)
        slice_, price = found
        last, at = slice_.at - at, slice_.at
        cost += rules.worth(slice_.groups) + price
        planes.append(plane_at(along, at))
        rest = slice_.split.beyond if near is rest else rest.split(planes[-1], rules.depths).beyond
        if not len(rest):
            return _Peeled(cost, tuple(planes[:-1]), len(planes), cost < limit)
        if cost >= limit:
            break
    return _Peeled(cost, tuple(planes), len(planes), False)


def _longest(
    rest: Shell, along, ends: tuple[float, float], last: float, rules: SeamRules
) -> tuple[_Slice, float] | None:
    """Return (the longest slice from the low end on that fits, leaves enough for another, and whose cut may run there;
    what the cut costs). last : how long the one before was, tried first."""
    low, high = ends
    best, short, long = None, rules.shortest, min(high - rules.shortest - low, rules.reach) + _STEP
    if short < last < long:
        best = _tried(rest, along, low + last, rules)
        short, long = (last, long) if best else (short, last)
        if best and (tried := _tried(rest, along, low + last + _STEP, rules)) is None:
            long = last + _STEP
        elif best:
            best, short = tried, last + _STEP
    elif (best := _tried(rest, along, low + short, rules)) is None:
        return None
    while long - short > _STEP:
        middle = (short + long) / 2
        tried = _tried(rest, along, low + middle, rules)
        best, short, long = (tried, middle, long) if tried else (best, short, middle)
    if best is not None and high - rules.shortest < best.at < high:
        best = _tried(rest, along, high - rules.shortest, rules)
    return None if best is None else _where_it_may(best, rest, along, low, rules)


def _where_it_may(found: _Slice, rest: Shell, along, low: float, rules: SeamRules) -> tuple[_Slice, float] | None:
    """Return (the slice made shorter until its cut may run there, what the cut costs); None when none may."""
    slice_, at = found, found.at
    for _ in range(_BACK_TRIES):
        price = None if slice_ is None else rules.price(rest, slice_.split, plane_at(along, at))
        if price is not None:
            return slice_, price
        at -= _BACK
        if at < low + rules.shortest:
            return None
        slice_ = _tried(rest, along, at, rules)
    return None


def _tried(rest: Shell, along: np.ndarray, at: float, rules: SeamRules) -> _Slice | None:
    """Return the slice short of `at`, or None when it does not fit."""
    split = rest.split(plane_at(along, at), rules.depths)
    groups = rules.fitted(split.short) if len(split.short) else []
    return None if groups is None else _Slice(at, groups, split)


def plane_at(along: np.ndarray, at: float) -> Plane:
    """Return the plane across a unit vector (3,), at a place along it, mm."""
    return Plane(tuple(float(c) for c in along), float(at))
