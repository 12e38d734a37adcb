"""A bolt across a seam: clearance hole and a flat washer seat on each flange's back."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

import numpy as np

from sections.features.feature import OVERSHOOT, Hardware, Probe, Side, Tool, fit_deviation
from sections.features.shapes import cylinder, united
from sections.settings import Settings
from sections.settings.joint_line import SEAT_CLEAR_OF_WALL, flange_reach, seat_radius
from sections.standards import fastener

if TYPE_CHECKING:
    import cadquery as cq

# A seat is followed to this part of what it is wider than its washer, but no more loosely than _LOOSEST, mm.
_PART_OF_SEAT, _LOOSEST = 0.4, 0.2


@dataclass(frozen=True)
class Bolt:
    """A bolt and its nut across two flanges.

    size : metric. hole : diameter (ISO 273). thickness : of each flange. seat : radius of the washer seat. edge :
    least distance from hole centre to a free edge. nut_reach : kept clear behind the flange for washer and nut.
    head_reach, head_radius : kept clear where the bolt is brought in. back : how far the flange's sloped back
    reaches behind it; only there is there anything to clear away. enters : the side it can come from.
    """

    size: str
    hole: float
    thickness: float
    seat: float
    edge: float
    nut_reach: float
    head_reach: float
    head_radius: float
    back: float
    enters: Literal["minus", "plus", "both"] = "both"
    kind: Literal["bolt"] = "bolt"

    @staticmethod
    def of(settings: Settings) -> Bolt:
        """Return the bolt the settings ask for."""
        row = fastener(settings.bolts.size)
        thickness = settings.flange.thickness
        hole = row.hole(settings.fits.bolt)
        # Two threads past the nut; the bolt's whole length and head where it comes in.
        nut = row.washer_thickness + row.nut_height + 2 * row.pitch
        head = 2 * thickness + row.washer_thickness + nut + row.head_height
        head_radius = row.head_diameter / 2 + settings.bolts.seat
        edge = settings.bolts.edge * hole
        back = flange_reach(settings) - thickness
        return Bolt(row.size, hole, thickness, seat_radius(settings), edge, nut, head, head_radius, back)

    @property
    def half_length(self) -> float:
        """Half of the seat, mm."""
        return self.seat

    @property
    def reach(self) -> float:
        """How far its hole stands into a section, mm: through the flange."""
        return self.thickness

    @property
    def seat_depth(self) -> float:
        """How far a seat's axis must lie below the wall's inner face, mm."""
        return self.seat + SEAT_CLEAR_OF_WALL

    def tools(self) -> tuple[Tool, ...]:
        """Return the hole and the seat of each side."""
        hole = cylinder(self.hole / 2, -self.thickness - OVERSHOOT, self.thickness + OVERSHOOT)
        row = fastener(self.size)
        close = fit_deviation((self.hole - row.diameter) / 2)
        loose = min(_PART_OF_SEAT * (self.seat - row.washer_outer / 2), _LOOSEST)
        return (
            Tool("minus", "cut", hole, close),
            Tool("plus", "cut", hole, close),
            Tool("minus", "cut", self._seat_tool("minus"), loose),
            Tool("plus", "cut", self._seat_tool("plus"), loose),
        )

    def _seat_tool(self, side: Side) -> cq.Solid:
        """Return the seat's full width over the nut's reach, and the head's width beyond it where a bolt comes in."""
        sign = -1 if side == "minus" else 1
        near, full = self.thickness, self.thickness + self.nut_reach
        wide = cylinder(self.seat, *sorted((sign * near, sign * full)))
        reach = min(self.head_reach, self.back + OVERSHOOT) if self.enters in (side, "both") else 0.0
        if reach <= self.nut_reach:
            return wide
        return united(wide, cylinder(self.head_radius, *sorted((sign * full, sign * (near + reach)))))

    def hardware(self) -> Hardware | None:
        """Bolts, nuts and washers are bought; they are counted, not made."""
        return None

    def probes(self) -> tuple[Probe, ...]:
        """Return the edge distance about the hole, over the middle half of the two flanges."""
        z = np.array([-0.5, 0.0, 0.5]) * self.thickness
        return (Probe(np.column_stack([0 * z, 0 * z, z]), self.hole / 2, self.edge),)
