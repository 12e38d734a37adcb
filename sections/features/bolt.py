"""A bolt across a seam: clearance hole and a flat washer seat on each flange's back."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

import numpy as np

from sections.features.feature import OVERSHOOT, Hardware, Probe, Side, Tool
from sections.features.shapes import cylinder, united
from sections.settings import Settings
from sections.settings.joint_line import SEAT_CLEAR_OF_WALL, seat_radius
from sections.standards import fastener

if TYPE_CHECKING:
    import cadquery as cq


@dataclass(frozen=True)
class Bolt:
    """A bolt and its nut across two flanges.

    size : metric. hole : diameter (ISO 273). thickness : of each flange. seat : radius of the washer seat. edge :
    least distance from hole centre to a free edge. nut_reach : kept clear behind the flange for washer and nut.
    head_reach, head_radius : kept clear where the bolt is brought in. enters : the side it can come from.
    """

    size: str
    hole: float
    thickness: float
    seat: float
    edge: float
    nut_reach: float
    head_reach: float
    head_radius: float
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
        return Bolt(row.size, hole, thickness, seat_radius(settings), edge, nut, head, head_radius)

    @property
    def half_length(self) -> float:
        """Half of the seat, mm."""
        return self.seat

    @property
    def seat_depth(self) -> float:
        """How far a seat's axis must lie below the wall's inner face, mm."""
        return self.seat + SEAT_CLEAR_OF_WALL

    def reach(self, side: Side) -> float:
        """Return how far behind the flange of one side the seat's tool runs, mm."""
        return self.head_reach if self.enters in (side, "both") else self.nut_reach

    def tools(self) -> tuple[Tool, ...]:
        """Return the hole and seat of each side."""
        radius, back = self.hole / 2, self.thickness
        low, high = back + self.reach("minus"), back + self.reach("plus")
        minus = united(cylinder(radius, -back - OVERSHOOT, OVERSHOOT), self._seat_tool(-low, -back))
        plus = united(cylinder(radius, -OVERSHOOT, back + OVERSHOOT), self._seat_tool(back, high))
        clearance = (self.hole - fastener(self.size).diameter) / 2
        return Tool("minus", "cut", minus, clearance), Tool("plus", "cut", plus, clearance)

    def _seat_tool(self, low: float, high: float) -> cq.Solid:
        """Return the seat's full width over the nut's reach, and the head's width beyond it."""
        sign = -1 if high < 0 else 1
        near, far = (-high, -low) if sign < 0 else (low, high)
        full = min(near + self.nut_reach, far)
        wide = cylinder(self.seat, *sorted((sign * near, sign * full)))
        if full >= far:
            return wide
        return united(wide, cylinder(self.head_radius, *sorted((sign * full, sign * far))))

    def hardware(self) -> Hardware | None:
        """Bolts, nuts and washers are bought; they are counted, not made."""
        return None

    def probes(self) -> tuple[Probe, ...]:
        """Return the edge distance about the hole, over the middle half of the two flanges."""
        z = np.array([-0.5, 0.0, 0.5]) * self.thickness
        return (Probe(np.column_stack([0 * z, 0 * z, z]), self.hole / 2, self.edge),)
