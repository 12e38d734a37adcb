"""A key across a seam: a tapered tongue and its pocket, loose or printed on one section."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

import numpy as np

from sections.features.feature import OVERSHOOT, Hardware, JointKind, Probe, Side, Tool, fit_deviation
from sections.features.shapes import tapered
from sections.settings import Settings
from sections.settings.fit_values import fit_of

if TYPE_CHECKING:
    import cadquery as cq


@dataclass(frozen=True)
class Key:
    """length, width : at the seam. height : into each pocket. draft : deg. fit : per side, square to the faces.
    end : gap at the pocket's end. web : plastic left around. loose : a double key in two pockets; else the
    tongue stands on the minus section."""

    length: float
    width: float
    height: float
    draft: float
    fit: float
    end: float
    web: float
    loose: bool
    kind: Literal["key"] = "key"

    @staticmethod
    def of(settings: Settings) -> Key:
        """Return the key the settings ask for."""
        keys, fit, end = settings.keys, fit_of(settings, "key"), settings.fits.end
        loose = keys.kind == "loose"
        return Key(keys.length, keys.width, keys.height, keys.draft, fit, end, settings.flange.web, loose)

    @staticmethod
    def on_seams(settings: Settings) -> JointKind:
        """Return the key that goes amid each run."""
        key = (Key.of(settings),)
        return JointKind("runs", key, key, "a key")

    @property
    def half_length(self) -> float:
        """Half of the pocket with its web, mm."""
        return self.length / 2 + self.fit + self.web

    @property
    def reach(self) -> float:
        """How far a pocket stands into a section, mm."""
        return self.height + self.end

    @property
    def blind(self) -> float:
        """How deep a pocket is, mm."""
        return self.reach

    @property
    def cleared(self) -> float:
        """How far from the seam it takes plastic away, mm."""
        return self.reach

    @property
    def locates(self) -> bool:
        """Whether it holds two sections in place along the seam."""
        return False

    @property
    def is_turned(self) -> bool:
        """Whether a hand tightens it with a tool."""
        return False

    @property
    def tongue(self) -> float:
        """How far plastic of the minus section stands out of the seam for it, mm."""
        return 0.0 if self.loose else self.height

    @property
    def drilled(self) -> float | None:
        """Diameter of its hole, mm; None where there is none to drill."""
        return None

    def _pocket(self, side: int) -> cq.Solid:
        """Return the pocket on the plus (+1) or minus (-1) side: the key moved outward by the fit.

        Its sides stay parallel to the key's, so the gap square to them is the fit everywhere. The mouth runs on
        straight past the seam.
        """
        grow = 2 * self.fit / math.cos(math.radians(self.draft))
        length, width = self.length + grow, self.width + grow
        outlines = [(length, width, -OVERSHOOT), (length, width, 0.0), self._tip(length, width, self.reach)]
        return tapered(outlines if side > 0 else [(long, wide, -z) for long, wide, z in reversed(outlines)])

    def _tip(self, length: float, width: float, height: float) -> tuple[float, float, float]:
        """Return what is left of a rectangle at a height, (length, width, height) mm, by the draft of all sides."""
        inset = 2 * height * math.tan(math.radians(self.draft))
        return length - inset, width - inset, height

    def tools(self) -> tuple[Tool, ...]:
        """Return the two pockets, or tongue and pocket."""
        close = fit_deviation(self.fit)
        plus = Tool("plus", "cut", self._pocket(1), close)
        if self.loose:
            return Tool("minus", "cut", self._pocket(-1), close), plus
        low, seam = (self.length, self.width, -OVERSHOOT), (self.length, self.width, 0.0)
        tongue = tapered([low, seam, self._tip(self.length, self.width, self.height)])
        return Tool("minus", "add", tongue, close), plus

    def hardware(self) -> Hardware | None:
        """Return the double key when it is loose."""
        if not self.loose:
            return None
        long, wide, high = self._tip(self.length, self.width, self.height)
        solid = tapered([(long, wide, -high), (self.length, self.width, 0.0), (long, wide, high)])
        return Hardware(f"key-{self.length:g}x{self.width:g}x{2 * self.height:g}", "key", False, solid)

    def bought(self) -> tuple[str, ...]:
        """Return nothing: keys are printed."""
        return ()

    def probes(self) -> tuple[Probe, ...]:
        """Return the web about the pocket's rim and end, over the outline of the key at the seam."""
        half_l, half_w = self.length / 2, self.width / 2
        rim = np.array([(x, y) for x in np.linspace(-half_l, half_l, 5) for y in (-half_w, half_w)])
        heights = self.reach * np.linspace(-1.0, 1.0, 5)
        levels = [np.column_stack([rim, np.full(len(rim), z)]) for z in heights]
        return (Probe(np.vstack(levels), self.fit, self.fit + self.web),)

    def webs(self, side: Side) -> tuple[tuple[Probe, float | None], ...]:
        """Return the web about its pocket, where there is one on that side."""
        return tuple((probe, self.reach) for probe in self.probes()) if self.loose or side == "plus" else ()

    def access(self, side: Side) -> tuple[tuple[float, float], ...]:
        """Return a bar just over its mouth."""
        return ((self.half_length, OVERSHOOT),)
