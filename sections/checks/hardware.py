"""What hands bring to a part: screws, washers, nuts, inserts, pins and the tools for them, by their standards' sizes.

Each is swept straight from free space to its seat, as one solid that nothing may be in the way of. Sizes come from the
standards' tables, places from where the part's own holes are meant to be: what was cut for them is not asked.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass

import numpy as np

from sections.features.bolt import Bolt
from sections.features.dowel import Dowel
from sections.features.hardpoint import HardpointShape
from sections.features.key import Key
from sections.numbers.frame import Frame
from sections.plan.model import PlannedBoss, PlannedJoint
from sections.solids.print_solid import PrintSolid
from sections.standards import Fastener, fastener, iron_tip, key_for, socket_for

# mm; off a seat, so that what rests on it is not in it; facets of a rod.
_OFF, _FACETS = 0.03, 48
# mm; a tip that melts inserts in is so long, its body so wide, and both together reach so far. Common practice, no
# source.
_TIP, _IRON, _IRON_REACH = 20.0, 16.0, 80.0
# mm; a nut and washer come so far from beside a hardpoint's standoff.
_BESIDE = 40.0


@dataclass(frozen=True)
class Brought:
    """One thing on its way. what : a washer, say. part : what it is for, a joint or a boss. alone : the one section it
    is brought to by itself; "" where all are there that are put together by then. pair : of the joint, "" for a boss.
    frame : of the joint or boss. bars : rods about its z: (radius, low, high), mm. blocks : (low, high) corners."""

    what: str
    part: str
    alone: str
    pair: str
    frame: Frame
    bars: tuple[tuple[float, float, float], ...] = ()
    blocks: tuple[tuple[tuple[float, float, float], tuple[float, float, float]], ...] = ()

    def solid(self) -> PrintSolid:
        """Return all that it passes through, in the vehicle frame."""
        made = [PrintSolid.rod(radius, low, high, _FACETS) for radius, low, high in self.bars]
        made += [PrintSolid.box(np.array(low), np.array(high)) for low, high in self.blocks]
        return made[0].unite(made[1:]).placed(self.frame)

    @property
    def bounds(self) -> np.ndarray:
        """A box it lies in, (2, 3) mm, vehicle frame."""
        local = [(x, y, z) for r, a, b in self.bars for x in (-r, r) for y in (-r, r) for z in (a, b)]
        for low, high in self.blocks:
            local += [(x, y, z) for x in (low[0], high[0]) for y in (low[1], high[1]) for z in (low[2], high[2])]
        world = self.frame.to_world(np.array(local))
        return np.array([world.min(0) - 0.5, world.max(0) + 0.5])


def brought_to_joint(joint: PlannedJoint) -> Iterator[Brought]:
    """Yield all that hands bring to a joint."""
    yield from _TO_JOINT[joint.joint.kind](joint, joint.joint)


def _to_dowel(joint: PlannedJoint, dowel: Dowel) -> Iterator[Brought]:
    for side, sign in (("minus", -1), ("plus", 1)):
        rod = (dowel.diameter / 2, *sorted((-sign * _OFF, -sign * (dowel.length + _OFF))))
        yield Brought("pin", joint.id, getattr(joint, side), joint.pair, joint.frame, bars=(rod,))


def _to_key(joint: PlannedJoint, key: Key) -> Iterator[Brought]:
    half = np.array([key.length, key.width]) / 2
    for side, sign in (("minus", -1), ("plus", 1)) if key.loose else ():
        low, high = sorted((-sign * _OFF, -sign * (2 * key.height + _OFF)))
        block = ((-half[0], -half[1], low), (half[0], half[1], high))
        yield Brought("key", joint.id, getattr(joint, side), joint.pair, joint.frame, blocks=(block,))


def _to_bolt(joint: PlannedJoint, bolt: Bolt) -> Iterator[Brought]:
    row, seat = fastener(bolt.size), bolt.thickness
    head = 1 if bolt.screw == "plus" else -1

    def one(what: str, *bars: tuple[float, float, float], sign: int = head, alone: str = "") -> Brought:
        ways = tuple((radius, *sorted((sign * low, sign * high))) for radius, low, high in bars)
        return Brought(what, joint.id, alone, joint.pair, joint.frame, bars=ways)

    out = seat + row.washer_thickest + bolt.length + row.head_height
    yield one("washer on the screw's side", (row.washer_outer / 2, seat + _OFF, out))
    under = seat + row.washer_thickness
    yield one("screw", (row.diameter / 2, under - bolt.length, out), (row.head_knurled / 2, under, out))
    key = key_for(bolt.size)
    into = under + row.head_height - row.key_depth
    yield one("key", (key.flats / np.sqrt(3), into, into + key.short + key.flats))
    if bolt.held == "nut":
        yield from _nut(one, row, seat, -head)
    else:
        alone = joint.plus if head < 0 else joint.minus
        bars = ((iron_tip(bolt.size) / 2, _OFF, _TIP), (_IRON / 2, _TIP, _IRON_REACH))
        yield one("iron for the insert", *bars, sign=head, alone=alone)


# By kind of joint; one that is not here raises, rather than pass without a look.
_TO_JOINT: dict[str, Callable[..., Iterator[Brought]]] = {"bolt": _to_bolt, "dowel": _to_dowel, "key": _to_key}


def _nut(one, row: Fastener, seat: float, sign: int) -> Iterator[Brought]:
    socket = socket_for(row.size)
    top = seat + row.washer_thickest + socket.length
    yield one("washer on the nut's side", (row.washer_outer / 2, seat + _OFF, top), sign=sign)
    corners = row.nut_flats / np.sqrt(3)
    yield one("nut", (corners, seat + row.washer_thickness, top), sign=sign)
    yield one("socket", (socket.outer / 2, seat + row.washer_thickest, top), sign=sign)


def brought_to_boss(boss: PlannedBoss) -> Iterator[Brought]:
    """Yield all that hands bring to a boss or hardpoint before its section is joined to others."""

    def one(what: str, **ways) -> Brought:
        return Brought(what, boss.id, boss.section, "", boss.frame, **ways)

    size, _, kind = boss.boss.takes.partition(" ")
    if kind == "insert":
        bars = ((iron_tip(size) / 2, _OFF, _TIP), (_IRON / 2, _TIP, _IRON_REACH))
        yield one("iron for the insert", bars=bars)
    elif isinstance(boss.boss, HardpointShape):
        yield from _to_channel(boss.boss, fastener(size), one)


def _to_channel(point: HardpointShape, row: Fastener, one) -> Iterator[Brought]:
    """Yield nut and washer on their way into a hardpoint's channel, in the middle of its grooves' heights."""
    channel, far = point.channel, point.travel + point.outer / 2 + _BESIDE
    for what, width, height, top, deep in (
        ("washer", row.washer_outer, row.washer_thickest, channel.lip, channel.high),
        ("nut", row.nut_flats, row.nut_height, channel.lip + channel.high, channel.low),
    ):
        middle = -top - deep / 2
        # A washer is round, a nut's corners stand along the channel.
        behind = width / 2 if what == "washer" else width / np.sqrt(3)
        low = (-point.travel - behind, -width / 2, middle - height / 2)
        yield one(f"{what} into its channel", blocks=((low, (far, width / 2, middle + height / 2)),))
