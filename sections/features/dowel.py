"""A dowel across a seam: a pin in a round hole, or in a hole on one side and a slot on the other."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np

from sections.features.feature import OVERSHOOT, Hardware, JointKind, Probe, Side, Tool, fit_deviation
from sections.features.shapes import cylinder, slot_bar, turned
from sections.settings import Settings
from sections.settings.fit_values import fit_of


@dataclass(frozen=True)
class Dowel:
    """diameter, length : of the pin, half in each section. fit : per side. end : gap at each end of the pin.
    travel : play each way along the slot. web : plastic left around. slot : True puts a slot on the plus side,
    along the joint's x. metal : the pin is bought."""

    diameter: float
    length: float
    fit: float
    end: float
    travel: float
    web: float
    slot: bool
    metal: bool
    kind: Literal["dowel"] = "dowel"

    @staticmethod
    def of(settings: Settings, *, slot: bool) -> Dowel:
        """Return the dowel the settings ask for."""
        dowels, fits, fit = settings.dowels, settings.fits, fit_of(settings, "dowel")
        metal = dowels.kind == "metal"
        return Dowel(dowels.diameter, dowels.length, fit, fits.end, fits.slot, settings.flange.web, slot, metal)

    @staticmethod
    def on_seams(settings: Settings) -> JointKind:
        """Return the dowel in two round holes, and that in a hole and a slot."""
        both = Dowel.of(settings, slot=False), Dowel.of(settings, slot=True)
        return JointKind("ends", both, both, "two dowels", alike=2)

    @property
    def half_length(self) -> float:
        """Half of a slot with its web, mm: either end of a pair may be the slot."""
        return self.diameter / 2 + self.fit + self.travel + self.web

    @property
    def reach(self) -> float:
        """How far its hole stands into each section, mm."""
        return self.length / 2 + self.end

    @property
    def blind(self) -> float:
        """How deep its holes are, mm."""
        return self.reach

    @property
    def cleared(self) -> float:
        """How far from the seam it takes plastic away, mm."""
        return self.reach

    @property
    def locates(self) -> bool:
        """Whether it holds two sections in place along the seam."""
        return True

    @property
    def is_turned(self) -> bool:
        """Whether a hand tightens it with a tool."""
        return False

    @property
    def tongue(self) -> float:
        """How far plastic of the minus section stands out of the seam for it, mm."""
        return 0.0

    @property
    def drilled(self) -> float | None:
        """Diameter of its hole, mm; None where there is none to drill."""
        return self.diameter + 2 * self.fit

    def tools(self) -> tuple[Tool, ...]:
        """Return the hole in the minus section, and the hole or slot in the plus section."""
        radius, depth, close = self.diameter / 2 + self.fit, self.reach, fit_deviation(self.fit)
        minus = Tool("minus", "cut", cylinder(radius, -depth, OVERSHOOT), close)
        if not self.slot:
            return minus, Tool("plus", "cut", cylinder(radius, -OVERSHOOT, depth), close)
        length = 2 * (self.travel + radius)
        return minus, Tool("plus", "cut", slot_bar(length, 2 * radius, -OVERSHOOT, depth), close)

    def hardware(self) -> Hardware:
        """Return the pin, its ends chamfered to start easily."""
        radius, half = self.diameter / 2, self.length / 2
        chamfer = min(0.15 * self.diameter, 0.2 * self.length)
        profile = [(0, -half), (radius - chamfer, -half), (radius, -half + chamfer),
                   (radius, half - chamfer), (radius - chamfer, half), (0, half)]  # fmt: skip
        return Hardware(f"dowel-{self.diameter:g}x{self.length:g}", "dowel", self.metal, turned(profile))

    def bought(self) -> tuple[str, ...]:
        """Return the pin, where it is not printed."""
        return (f"{self.hardware().name} pin (ISO 2338)",) if self.metal else ()

    def probes(self) -> tuple[Probe, ...]:
        """Return the web about hole or slot over its whole depth."""
        z = np.linspace(-self.reach, self.reach, 7)
        zero = np.zeros_like(z)
        ends = [np.column_stack([zero + x, zero, z]) for x in sorted({-self.travel, 0.0, self.travel})]
        radius = self.diameter / 2 + self.fit
        return (Probe(np.vstack(ends), radius, radius + self.web),)

    def webs(self, side: Side) -> tuple[tuple[Probe, float | None], ...]:
        """Return the web about its hole, which ends in either section."""
        return tuple((probe, self.reach) for probe in self.probes())

    def access(self, side: Side) -> tuple[tuple[float, float], ...]:
        """Return a bar just over its mouth."""
        return ((self.half_length, OVERSHOOT),)
