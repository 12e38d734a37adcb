"""Heat-set inserts and the boss rules that go with them: makers' practice, no standard."""

from __future__ import annotations

from dataclasses import dataclass

from sections.standards.fasteners import fastener
from sections.standards.table import read_table

# 2.0 to 2.4 times the diameter of screw or insert: common practice, no source.
OUTER_PER_INSERT = 2.0
# Hole depth: insert length plus two thread pitches of the screw. Common practice, no source.
PITCHES_BELOW = 2.0


@dataclass(frozen=True)
class Insert:
    """One heat-set insert, mm: outer diameter over the knurl, length, hole diameter, wall around it, and the length of
    the shorter one of its size, where there is one."""

    size: str
    outer: float
    length: float
    hole: float
    wall: float
    short: float | None = None

    @property
    def lengths(self) -> tuple[float, ...]:
        """The lengths it comes in, mm, longest first."""
        return (self.length,) if self.short is None else (self.length, self.short)

    @property
    def bought(self) -> str:
        """What it is called in a list of what to buy."""
        return f"{self.size} x {self.length:g} heat-set insert"

    @property
    def boss_outer(self) -> float:
        """The least boss diameter, mm: the larger of 2 x insert diameter and hole + 2 walls."""
        return max(OUTER_PER_INSERT * self.outer, self.hole + 2 * self.wall)

    @property
    def hole_depth(self) -> float:
        """The hole depth, mm: insert length plus two thread pitches."""
        return self.length + PITCHES_BELOW * fastener(self.size).pitch


def insert_sizes() -> tuple[str, ...]:
    """Return the sizes the table holds, smallest first."""
    return tuple(read_table("inserts"))


def insert(size: str) -> Insert:
    """Return the row for a size such as "M4". Raises KeyError for a size the table lacks."""
    return Insert(size=size, **read_table("inserts")[size])
