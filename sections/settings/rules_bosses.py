"""Contradictions in bosses and hardpoints."""

from __future__ import annotations

from pathlib import Path

import numpy as np

from sections.settings.bosses import Boss, Hardpoint
from sections.settings.model import Settings
from sections.settings.places import given_once
from sections.standards import fastener, fastener_sizes, insert, insert_sizes
from sections.standards.strength import bearing_area, pull_out

# The cosine above which a slot does not run across its bolt: more than 15 deg out of square.
_SLANT = 0.26


def bosses_make_sense(settings: Settings, folder: Path):
    """Each boss has one fastener the tables hold, a direction, and a name of its own."""
    for index, boss in enumerate(settings.bosses):
        key = ("bosses", index)
        yield from _named(key, boss.id, [one.id for one in settings.bosses[:index]])
        yield from given_once(key, "at", boss.at, boss.seen)
        yield from _pointed(key, "axis", boss.axis)
        yield from _fastened(key, boss)
        if boss.bolt is not None and boss.depth is None:
            yield (*key, "depth"), "", "given with `bolt`", "give the depth of the hole"
        elif boss.insert in insert_sizes():
            yield from _insert_sits(key, boss)


def hardpoints_make_sense(settings: Settings, folder: Path):
    """Each hardpoint has a name, a fastener and directions; its slot can be made, nut or insert carries the load."""
    for index, point in enumerate(settings.hardpoints):
        key = ("hardpoints", index)
        yield from _named(key, point.id, [one.id for one in (*settings.bosses, *settings.hardpoints[:index])])
        yield from _pointed(key, "axis", point.axis)
        yield from _pointed(key, "along", point.along)
        yield from given_once(key, "at", point.at, point.seen)
        if point.seen is not None and point.seen.below is None:
            limit = "given for a hardpoint: how far the donor's face lies below the skin"
            yield (*key, "seen", "below"), "", limit, "measure it along `axis`, without one square to the skin"
        yield from _fastened(key, point)
        yield from _slotted(key, point)
        if point.insert in insert_sizes():
            yield from _insert_sits(key, point)
        yield from _loaded(key, point, settings.material.allowable_stress)


def _named(key, name: str, before: list[str]):
    if name in before:
        yield (*key, "id"), repr(name), "a name of its own among bosses and hardpoints", "rename one of the two"


def _pointed(key, field: str, direction: list[float] | None):
    if direction is not None and np.linalg.norm(direction) < 1e-6:
        yield (*key, field), str(direction), "a direction", "give one that is not all zero"


def _fastened(key, one: Boss | Hardpoint):
    if (one.insert is None) == (one.bolt is None):
        yield key, one.id, "exactly one of `insert` and `bolt`", "give one of the two"
        return
    for field, value, sizes in (("insert", one.insert, insert_sizes()), ("bolt", one.bolt, fastener_sizes())):
        if value is not None and value not in sizes:
            yield (*key, field), repr(value), f"one of {', '.join(sizes)}", "take one of these"


def _insert_sits(key, one: Boss | Hardpoint):
    size, depth = insert(one.insert), getattr(one, "depth", None)
    if one.outer is not None and one.outer < size.hole + 2 * size.wall:
        limit = f"{size.hole + 2 * size.wall:.4g} or more: hole + 2 x wall (makers' practice)"
        yield (*key, "outer"), f"{one.outer:g}", limit, f"leave it out for {size.boss_outer:.4g}"
    if depth is not None and depth < size.hole_depth:
        limit = f"{size.hole_depth:.4g} or more: insert length + 2 thread pitches (common practice, no source)"
        yield (*key, "depth"), f"{depth:g}", limit, "leave it out for that"


def _slotted(key, point: Hardpoint):
    if point.travel == 0:
        return
    if point.insert is not None:
        yield (*key, "travel"), f"{point.travel:g}", "0 with `insert`: an insert cannot be moved", "take `bolt` instead"
    if point.along is None:
        yield (*key, "along"), "", "given with `travel`", "give the direction of the slot"
    elif point.axis is not None:
        axis, along = (np.array(v) / max(np.linalg.norm(v), 1e-9) for v in (point.axis, point.along))
        if abs(axis @ along) > _SLANT:
            yield (*key, "along"), str(point.along), "a direction across `axis`", "a slot runs square to its bolt"


def _loaded(key, point: Hardpoint, allowable: float | None):
    if point.load is None and point.side_load == 0:
        return
    if allowable is None:
        limit = "given for a hardpoint with a load"
        yield ("material", "allowable_stress"), "", limit, "pull prints across their layers, and divide by your factor"
        return
    load = point.load or 0.0
    if point.insert in insert_sizes():
        most, what = pull_out(insert(point.insert), allowable), "an insert's pull-out"
    elif point.bolt in fastener_sizes():
        size = fastener(point.bolt)
        slot = 2 * point.travel
        area = bearing_area(size.washer_outer, size.hole("medium"), slot)
        most, what = area * allowable, "the plastic under the washer"
    else:
        return
    if load > most:
        limit = f"{most:.0f} or less: {what} at {allowable:g} MPa"
        yield (*key, "load"), f"{load:g}", limit, "take a larger size, or share the load among more hardpoints"
