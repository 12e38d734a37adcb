"""A boss on the inner face: a standoff with a hole, blended into the wall by a cone."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from sections.features.feature import OVERSHOOT
from sections.features.shapes import cylinder, standoff
from sections.settings.bosses import Boss as BossSettings
from sections.standards import fastener, insert
from sections.standards.inserts import OUTER_PER_INSERT

if TYPE_CHECKING:
    import cadquery as cq


@dataclass(frozen=True)
class BossShape:
    """outer : diameter. hole, depth : of the blind hole. height : from the inner face to the mouth. foot : height
    and spread of the cone at its base. root : how far it reaches below the inner face, before it is trimmed to
    the body. takes : what the hole is for, such as "M4 insert". All mm.

    Its frame: origin in the middle of the mouth, z out of the mouth.
    """

    outer: float
    hole: float
    depth: float
    height: float
    base_cone: float
    root: float
    takes: str
    kind: Literal["boss"] = "boss"

    @staticmethod
    def of(asked: BossSettings, height: float, wall: float, wider: float = 0.0) -> BossShape:
        """Return the boss asked for, `height` mm tall above the inner face of a wall `wall` mm thick.

        wider : mm, all across, added to an insert's hole. Insert: diameter and depth by the rules of
        standards.inserts. Bolt: ISO 273 medium hole, outer diameter twice the screw's (the same 2.0 x rule).
        """
        if asked.insert is not None:
            row = insert(asked.insert)
            hole, depth, outer = row.hole + wider, row.hole_depth, row.boss_outer
            takes = f"{row.size} insert"
        else:
            screw = fastener(asked.bolt)
            hole, depth, outer = (
                screw.medium,
                asked.depth,
                max(OUTER_PER_INSERT * screw.diameter, screw.medium + 4),
            )
            takes = f"{screw.size} bolt"
        outer = asked.outer or outer
        depth = asked.depth or depth
        return BossShape(outer, hole, depth, height, min(asked.base_cone, height), wall + outer, takes)

    def bought(self) -> tuple[str, ...]:
        """Return what it takes, as it is bought."""
        size, _, kind = self.takes.partition(" ")
        if kind == "insert":
            return (insert(size).bought,)
        return (f"{size} screw, as long as what it fastens asks for",)

    @property
    def spread(self) -> float:
        """Largest radius, at its base, mm."""
        return self.outer / 2 + self.base_cone

    @property
    def travel(self) -> float:
        """How far what is in its hole can be moved, each way, mm: it cannot."""
        return 0.0

    @property
    def reach(self) -> float:
        """Largest radius, mm."""
        return self.spread

    @property
    def hole_at(self) -> float:
        """Height, mm below the mouth, at which the hole is plain."""
        return self.depth / 2

    def standoffs(self) -> tuple[cq.Solid, ...]:
        """Return what is added: the standoff with its base cone and root, before it is trimmed to the body."""
        return (standoff(self.outer, self.height, self.base_cone, self.root),)

    def bore(self) -> cq.Solid:
        """Return what is cut out of it."""
        return cylinder(self.hole / 2, -self.depth, OVERSHOOT)
