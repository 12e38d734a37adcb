"""A bolt across a seam: a screw through one flange, held by a nut behind the other or by an insert in it.

The last seam of a closed body cannot be bolted from inside, whoever holds the spanner: `bolted = "room"` says that a
seam has bolts where a hand gets to and is bonded elsewhere.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Literal

import numpy as np

from sections.features.feature import OVERSHOOT, Hardware, JointKind, Probe, Side, Tool, fit_deviation
from sections.features.shapes import cylinder
from sections.settings import Settings
from sections.settings.fit_values import fit_of
from sections.settings.joint_line import NUT_PITCHES, flange_reach, head_radius, nut_radius
from sections.standards import Fastener, fastener, insert, insert_sizes, key_for, screw_length, socket_for

if TYPE_CHECKING:
    pass

# A seat is followed to this part of what it is wider than its washer, but no more loosely than _LOOSEST, mm.
_PART_OF_SEAT, _LOOSEST = 0.4, 0.2
# mm; a handle's head behind a socket: its height and half its width; air around a key (common practice, no source).
_HANDLE, _HALF_HANDLE, _AROUND_KEY = 10.0, 5.0, 0.5
# mm; how closely an insert's hole is followed: makers give +0.10 and -0.00.
_INSERT_DEVIATION = 0.005
# Threads of free hole past the screw in an insert (common practice, no source).
_FREE_PITCHES = 2.0


@dataclass(frozen=True)
class ClearWay:
    """What must be free behind a flange, mm. radius : of the seat and of the way to it. length : of the way, along the
    axis from the flange. tool, reach : radius of the tool beyond it, and how far off the flange that ends. turn : how
    far off its handle turns. arm, thick : how long, and how wide and high that is."""

    radius: float
    length: float
    tool: float
    reach: float
    turn: float
    arm: float
    thick: float

    @property
    def bars(self) -> tuple[tuple[float, float], ...]:
        """What must be free as round bars: radius, and how far off the flange each ends."""
        return (self.radius, self.length), (self.tool, self.reach)


@dataclass(frozen=True)
class Bolt:
    """A screw, its washer, and what holds it.

    size : metric. length : of the screw, nominal. screw : the side its head is on. held : by a nut on the other side,
    or by a heat-set insert in the other flange, set from the seam. hole : diameter (ISO 273). thickness : of each
    flange. edge : least distance from hole centre to a free edge. head : the way to the screw's head. nut : the way to
    the nut; None with an insert. back : how far the flange's sloped back reaches behind it; only there is there
    anything to clear away. bore, depth, around : diameter and depth of an insert's hole, plastic asked around it;
    insert : its own length; all 0 with a nut.
    """

    size: str
    length: float
    screw: Side
    held: Literal["nut", "insert"]
    hole: float
    thickness: float
    edge: float
    back: float
    head: ClearWay
    nut: ClearWay | None
    bore: float = 0.0
    depth: float = 0.0
    around: float = 0.0
    insert: float = 0.0
    kind: Literal["bolt"] = "bolt"

    @staticmethod
    def choices(settings: Settings) -> tuple[Bolt, ...]:
        """Return the bolts a place may take, the one asked for first: with a nut, with an insert, with a shorter one;
        each way round."""
        inserts = settings.bolts.inserts and settings.bolts.size in insert_sizes()
        lengths = insert(settings.bolts.size).lengths if inserts else ()
        made = [_with_nut(settings), *(_with_insert(settings, length) for length in lengths)]
        return tuple(replace(bolt, screw=side) for bolt in made if bolt is not None for side in ("minus", "plus"))

    @staticmethod
    def on_seams(settings: Settings) -> JointKind:
        """Return the bolts that go all along a seam."""
        choices = Bolt.choices(settings)
        held = [bolt.held for bolt in choices]
        samples = tuple(choices[held.index(one)] for one in dict.fromkeys(held))
        return JointKind("pitch", choices, samples, "a bolt", held.count(held[0]))

    @property
    def half_length(self) -> float:
        """Half of the wider seat, mm."""
        return max(way.radius for way in (self.head, self.nut) if way is not None)

    @property
    def reach(self) -> float:
        """How far its hole stands into a section, mm: through the flange, or to the end of the insert's."""
        return max(self.thickness, self.depth)

    @property
    def blind(self) -> float:
        """How deep an insert's hole is, mm; 0 with a nut."""
        return self.depth

    @property
    def cleared(self) -> float:
        """How far from the seam it takes plastic away, mm."""
        return self.thickness + self.back

    @property
    def locates(self) -> bool:
        """Whether it holds two sections in place along the seam."""
        return False

    @property
    def is_turned(self) -> bool:
        """Whether a hand tightens it with a tool."""
        return True

    @property
    def tongue(self) -> float:
        """How far plastic of the minus section stands out of the seam for it, mm."""
        return 0.0

    @property
    def drilled(self) -> float | None:
        """Diameter of its hole, mm; None where there is none to drill."""
        return self.hole

    def way(self, side: Side) -> ClearWay | None:
        """Return what must be free behind the flange on a side; None on an insert's, which is set from the seam."""
        return self.head if side == self.screw else self.nut

    def tools(self) -> tuple[Tool, ...]:
        """Return the hole on each side, and each seat with the way to it."""
        made = []
        for side, sign in (("minus", -1), ("plus", 1)):
            way = self.way(side)
            near, over = sign * (self.thickness + OVERSHOOT), -sign * OVERSHOOT
            if way is None:
                bore = cylinder(self.bore / 2, *sorted((over, sign * self.depth)))
                made.append(Tool(side, "cut", bore, _INSERT_DEVIATION))
                continue
            row = fastener(self.size)
            hole = cylinder(self.hole / 2, *sorted((over, near)))
            made.append(Tool(side, "cut", hole, fit_deviation((self.hole - row.diameter) / 2)))
            loose = min(_PART_OF_SEAT * (way.radius - row.washer_outer / 2), _LOOSEST)
            ends = sorted((sign * self.thickness, sign * (self.thickness + self.back + OVERSHOOT)))
            made.append(Tool(side, "cut", cylinder(way.radius, *ends), loose))
        return tuple(made)

    def hardware(self) -> Hardware | None:
        """Screws, nuts, washers and inserts are bought; they are counted, not made."""
        return None

    def bought(self) -> tuple[str, ...]:
        """Return what one of it takes, as it is bought."""
        screw = f"{self.size} x {self.length:g} socket head cap screw (ISO 4762)"
        washer, nut = f"{self.size} washer (ISO 7089)", f"{self.size} nut (ISO 4032)"
        if self.held == "nut":
            return screw, washer, washer, nut
        return screw, washer, f"{self.size} x {self.insert:g} heat-set insert"

    def probes(self) -> tuple[Probe, ...]:
        """Return the edge distance about the hole, over the middle half of the two flanges, and the plastic about an
        insert over its hole's depth."""
        z = np.array([-0.5, 0.0, 0.5]) * self.thickness
        made = [Probe(np.column_stack([0 * z, 0 * z, z]), self.hole / 2, self.edge)]
        if self.held == "insert":
            z = np.linspace(0.0, self.depth if self.screw == "minus" else -self.depth, 5)
            made.append(Probe(np.column_stack([0 * z, 0 * z, z]), self.bore / 2, self.bore / 2 + self.around))
        return tuple(made)

    def webs(self, side: Side) -> tuple[tuple[Probe, float | None], ...]:
        """Return the edge distance about the hole through a flange, or the plastic about an insert and below it."""
        through, *about = self.probes()
        if self.held == "insert" and side != self.screw:
            return tuple((probe, self.depth) for probe in about)
        return ((through, None),)

    def access(self, side: Side) -> tuple[tuple[float, float], ...]:
        """Return the seat with the way to it, or an insert's hole."""
        way = self.way(side)
        if way is None:
            return ((self.bore, self.depth),)
        return tuple((radius, self.thickness + end) for radius, end in way.bars)


def _with_nut(settings: Settings) -> Bolt | None:
    """Return the bolt with washers and a nut; None where no standard screw is so long."""
    size, thickness = settings.bolts.size, settings.flange.thickness
    row = fastener(size)
    least = 2 * (thickness + row.washer_thickest) + row.nut_height + NUT_PITCHES * row.pitch
    length = screw_length(size, least)
    if length is None:
        return None
    end = row.washer_thickest + socket_for(size).length
    turn, arm = end + _HANDLE / 2, key_for(size).long
    way = ClearWay(
        nut_radius(settings), max(end, length - 2 * thickness), _HALF_HANDLE, end + _HANDLE, turn, arm, _HANDLE
    )
    return _bolt(settings, "nut", length, way)


def _with_insert(settings: Settings, long: float) -> Bolt | None:
    """Return the bolt with an insert `long` mm long; None where no standard screw is so long.

    The screw goes through all of the insert, with two threads of free hole beyond it.
    """
    size = settings.bolts.size
    row, screw = insert(size), fastener(size)
    length = screw_length(size, settings.flange.thickness + screw.washer_thickest + long)
    if length is None:
        return None
    beyond = _FREE_PITCHES * screw.pitch
    deep = max(length - settings.flange.thickness, long) + beyond
    made = _bolt(settings, "insert", length, None)
    bore = row.hole + 2 * fit_of(settings, "insert")
    return replace(made, bore=bore, depth=deep, around=row.wall, insert=long)


def _bolt(settings: Settings, held: Literal["nut", "insert"], length: float, nut: ClearWay | None) -> Bolt:
    row = fastener(settings.bolts.size)
    thickness, hole = settings.flange.thickness, row.hole(settings.fits.bolt)
    edge, back = settings.bolts.edge_distance * hole, flange_reach(settings) - thickness
    head = _head_way(row, length, head_radius(settings))
    return Bolt(row.size, length, "minus", held, hole, thickness, edge, back, head, nut)


def _head_way(row: Fastener, length: float, radius: float) -> ClearWay:
    """Return what must be free for the screw before it is put in, and for its key."""
    key = key_for(row.size)
    turn = row.washer_thickest + row.head_height - row.key_depth + key.short - key.flats / 2
    long, tool = row.washer_thickest + length + row.head_height, key.flats / np.sqrt(3) + _AROUND_KEY
    return ClearWay(radius, long, tool, turn + key.flats, turn, key.long, key.flats)
