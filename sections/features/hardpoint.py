"""A hardpoint: a standoff from the inner face to a point of the donor, with a nut or an insert, sized for its load."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

import numpy as np
import shapely

from sections.features.feature import OVERSHOOT
from sections.features.shapes import bar, cylinder, slot_bar, standoff, united, upright_prism
from sections.numbers.cross_section import CrossSection
from sections.settings.bosses import Hardpoint as HardpointSettings
from sections.standards import fastener, insert
from sections.standards.inserts import OUTER_PER_INSERT
from sections.standards.strength import lip_thickness

if TYPE_CHECKING:
    import cadquery as cq

# mm, per side; around nut and washer in their channel (0.25: makers' practice for what is put together once).
NUT_CLEARANCE = 0.25
# mm; the least lip over the channel and the least plastic beside it: common practice, no source.
_LIP, _CHEEK = 3.0, 3.0
# mm; cheeks end where they would be thinner: two lines of a nozzle of 0.4.
_THIN = 0.8
# mm; a gusset begins so far below the mouth, so far off the standoff.
_BELOW, _CLEAR = 1.0, 0.5
# mm; widths tried for a standoff, and how far a bolt may stand out of its nut.
_STEP, _WIDEST, _BEYOND = 0.5, 120.0, 6.0


@dataclass(frozen=True)
class Channel:
    """What holds a nut and its washer, open at one end so that they slide in; mm.

    lip : from the mouth to the washer. washer, nut : widths of the two grooves. high, low : their heights. reach : how
    far they go past the middle at the closed end.
    """

    lip: float
    washer: float
    nut: float
    high: float
    low: float
    reach: float

    @property
    def depth(self) -> float:
        """From the mouth to the bottom, mm."""
        return self.lip + self.high + self.low


@dataclass(frozen=True)
class HardpointShape:
    """A standoff with its hole or slot. All mm unless said.

    outer : width, across its slot. travel : of the bolt, each way along x. hole : width of hole or slot. depth : of the
    hole. height : from the inner face to the mouth. base_cone : height and spread of the cone at its base. root : how
    far it reaches below the inner face, untrimmed. takes : what goes in. channel : for a nut; None for
    an insert. load, side : N, what it is sized for. ribbed : whether it may have a gusset. gusset : how far that leans
    out for each mm down the standoff, 0 without. turn : deg, the way it leans, from x toward y.

    Its frame: origin in the middle of the mouth, z out of the mouth toward the donor, x along the slot; the channel is
    open toward +x.
    """

    outer: float
    travel: float
    hole: float
    depth: float
    height: float
    base_cone: float
    root: float
    takes: str
    channel: Channel | None
    load: float
    side: float
    ribbed: bool
    gusset: float = 0.0
    turn: float = 0.0
    kind: Literal["hardpoint"] = "hardpoint"

    def bought(self) -> tuple[str, ...]:
        """Return what it takes, as it is bought."""
        size = self.takes.split()[0]
        if self.channel is None:
            return (insert(size).bought,)
        return f"{size} nut (ISO 4032)", f"{size} washer (ISO 7089)"

    @property
    def spread(self) -> float:
        """Largest radius, at its base, without the gusset, mm."""
        return self.outer / 2 + self.base_cone + self.travel

    def gusset_corners(self) -> np.ndarray:
        """Return the corners of the gusset above the inner face, (8, 3) in its frame, mm."""
        angle, half = np.radians(self.turn), self._gusset_width() / 2
        out, aside = np.array([np.cos(angle), np.sin(angle), 0.0]), np.array([-np.sin(angle), np.cos(angle), 0.0])
        profile = self._gusset_profile(self.height)
        return np.array([r * out + w * aside + [0.0, 0.0, z] for r, z in profile for w in (-half, half)])

    def _gusset_width(self) -> float:
        """Return how wide the gusset is: where the standoff is wider, its side is too steep to hang over."""
        return 0.9 * self.outer + 2 * self.travel * abs(np.sin(np.radians(self.turn)))

    def _gusset_profile(self, deep: float) -> list[tuple[float, float]]:
        """Return its outline down to `deep` mm below the mouth: (way out, z). It touches the standoff nowhere: its
        faces cross those of the standoff, so that exact solids part well."""
        edge = self.outer / 2 + self.travel * abs(np.cos(np.radians(self.turn))) + _CLEAR
        return [(0, -_BELOW), (edge, -_BELOW), (edge + (deep - _BELOW) * self.gusset, -deep), (0, -deep)]

    @property
    def reach(self) -> float:
        """Largest radius with whatever gusset it may get, mm."""
        return self.outer / 2 + self.travel + (self.height if self.ribbed else self.base_cone)

    @property
    def hole_at(self) -> float:
        """Height, mm below the mouth, at which the hole is plain."""
        return self.channel.lip / 2 if self.channel else self.depth / 2

    def outline(self, below: float) -> shapely.Geometry:
        """Return what carries load at a height `below` the mouth, mm, in x and y: no base cone, no gusset."""
        line = shapely.LineString([(-self.travel, 0), (self.travel, 0)]) if self.travel else shapely.Point(0, 0)
        whole = line.buffer(self.outer / 2)
        if below < self.depth:
            whole = whole - line.buffer(self.hole / 2)
        for groove, top, bottom in self._grooves():
            if top < below < bottom:
                whole = whole - shapely.box(-self.channel.reach, -groove / 2, self.outer + self.travel, groove / 2)
                whole = whole - shapely.box(self._cheeks_end(groove), -self.outer, self.outer + self.travel, self.outer)
        return whole

    def stress(self, below: float) -> float:
        """Return the largest stress, MPa, at a height `below` the mouth, mm, as designed."""
        return CrossSection.of(self.outline(below)).stress(self.load, self.side * below)

    def standoffs(self) -> tuple[cq.Solid, ...]:
        """Return what is added: the standoff with base cone and root, and its gusset, before they are trimmed.

        (United to the wall as one solid, OCC took the gusset's end for part of the wall in one section of four.)
        """
        made = standoff(self.outer, self.height, self.base_cone, self.root, self.travel)
        return (made, self._gusset()) if self.gusset else (made,)

    def bore(self) -> cq.Solid:
        """Return what is cut out of it."""
        if self.channel is None:
            return cylinder(self.hole / 2, -self.depth, OVERSHOOT)
        start, far = -self.channel.reach, self._channel_end()
        grooves = [bar((start, far), (-w / 2, w / 2), (-low, -high)) for w, high, low in self._grooves()]
        edge, half = self.outer / 2 + self.travel + _CLEAR, self.outer / 2 + OVERSHOOT
        ends = [bar((self._cheeks_end(w), edge), (-half, half), (-low, -high)) for w, high, low in self._grooves()]
        grooves += ends
        if self.travel == 0:
            return united(cylinder(self.hole / 2, -self.depth, OVERSHOOT), *grooves)
        return united(slot_bar(2 * self.travel + self.hole, self.hole, -self.depth, OVERSHOOT), *grooves)

    def channel_places(self) -> np.ndarray:
        """Return places all along what its channel cuts, (n, 3) in its frame, mm."""
        far = self._channel_end()
        xs = np.linspace(-self.channel.reach, far, max(int((far + self.channel.reach) / 2), 2))
        half, deep = self.channel.washer / 2, (self.channel.lip, self.channel.depth)
        return np.array([(x, y, -z) for x in xs for y in (-half, 0.0, half) for z in deep])

    def _cheeks_end(self, groove: float) -> float:
        """Return how far out along x the plastic beside a groove so wide goes, mm: where the standoff's round end
        leaves less than two lines, it is cut square."""
        aside = groove / 2 + _THIN
        return self.travel + float(np.sqrt(max(self.outer**2 / 4 - aside**2, 0.0)))

    def _channel_end(self) -> float:
        """Return how far out the channel is cut: past the standoff, and past the gusset it may get."""
        return self.outer + self.travel + OVERSHOOT

    def _grooves(self):
        """Yield (width, top, bottom) of the channel's grooves, mm below the mouth."""
        if self.channel is not None:
            middle = self.channel.lip + self.channel.high
            yield self.channel.washer, self.channel.lip, middle
            yield self.channel.nut, middle, self.channel.depth

    def _gusset(self) -> cq.Solid:
        """Return the rib, leaning out from just below the mouth."""
        return upright_prism(self._gusset_profile(self.height + self.root), self._gusset_width(), self.turn)


def hardpoint_of(
    asked: HardpointSettings, height: float, wall: float, allowable: float | None, wider: float = 0.0
) -> HardpointShape | None:
    """Return the hardpoint asked for, `height` mm tall above the inner face of a wall `wall` mm thick, or None when no
    standoff of 120 mm carries the load.

    allowable : MPa, of the plastic; needed with a load. wider : mm, all across, added to an insert's hole. Insert:
    sizes by standards.inserts. Nut: ISO 273 medium hole or slot, ISO 7089 washer, ISO 4032 nut; the lip over the washer
    by standards.strength.
    """
    load, side = asked.load or 0.0, asked.side_load
    if asked.insert is not None:
        row = insert(asked.insert)
        channel, hole, depth = None, row.hole + wider, row.hole_depth
        least, takes = row.boss_outer, f"{row.size} insert"
    else:
        size = fastener(asked.bolt)
        channel, hole = _channel(asked.bolt, asked.travel, load, allowable), size.medium
        depth = channel.depth + _BEYOND
        least = max(OUTER_PER_INSERT * size.diameter, channel.washer + 2 * _CHEEK)
        takes = f"{size.size} nut and washer"
    least, most = (asked.outer, asked.outer) if asked.outer else (least, _WIDEST)
    for outer in np.arange(least, most + _STEP, _STEP):
        cone = min(asked.base_cone, height)
        made = HardpointShape(float(outer), asked.travel, hole, depth, height, cone, wall + float(outer),
                         takes, channel, load, side, asked.gusset)  # fmt: skip
        if allowable is None or max(made.stress(below) for below in _levels(made)) <= allowable:
            return made
    return None


def _channel(bolt: str, travel: float, load: float, allowable: float | None) -> Channel:
    size = fastener(bolt)
    lip = _LIP if allowable is None else max(_LIP, lip_thickness(load, size.washer_outer, allowable))
    washer = size.washer_outer + 2 * NUT_CLEARANCE
    # The nut's corners reach 1/cos(30 deg) of half its flats.
    reach = travel + max(washer / 2, size.nut_flats / np.sqrt(3) + NUT_CLEARANCE)
    return Channel(
        float(np.ceil(lip * 10) / 10), washer, size.nut_flats + 2 * NUT_CLEARANCE,
        size.washer_thickness + 2 * NUT_CLEARANCE, size.nut_height + 2 * NUT_CLEARANCE, float(reach),
    )  # fmt: skip


def _levels(made: HardpointShape) -> tuple[float, ...]:
    """Return the heights below the mouth, mm, where it is weakest: in its hole, in its channel, at its foot."""
    grooves = [bottom - 1e-3 for _, _, bottom in made._grooves()]
    return (*grooves, min(made.depth, made.height) - 1e-3, made.height)
