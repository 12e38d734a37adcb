"""Printed gauges for the edges of openings: the depth of a rebate, the width of a panel gap."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from sections.coupons.coupon import less, moved, stroke_of, sunk_text
from sections.features.shapes import bar, united
from sections.settings import Settings
from sections.settings.openings import Glass, PanelGap

if TYPE_CHECKING:
    import cadquery as cq

# mm; a gauge's length along the edge, its rest on the skin, its back, and the play it has to sides and flange's edge.
_LONG, _REST, _BACK, _PLAY = 40.0, 25.0, 8.0, 0.5
# mm; a panel gap's two ends are so much thinner and thicker than asked: common practice, no source.
_PASSES = 0.5


@dataclass(frozen=True)
class Gauge:
    """One printed gauge. use : what the builder does with it."""

    id: str
    solid: cq.Solid
    use: str


def gauges(settings: Settings) -> tuple[Gauge, ...]:
    """Return the gauges for every rebate and every panel that opens."""
    made = []
    stroke = stroke_of(settings)
    for opening in settings.openings:
        if opening.glass is not None:
            made.append(_rebate(opening.id, opening.glass, stroke))
        if opening.panel is not None:
            made.append(_gap(opening.id, opening.panel, stroke))
    return tuple(made)


def _rebate(name: str, glass: Glass, stroke: float) -> Gauge:
    """Return a block that rests on the skin and reaches down to the bond flange: x out of the opening, y off the skin,
    z along the edge, as it prints. Its foot goes from the opening's side to the flange's edge, less some play."""
    floor = glass.thickness + glass.bead
    back = bar((_PLAY - glass.width, _REST), (0.0, _BACK), (-_LONG, 0.0))
    foot = bar((_PLAY - glass.width, -_PLAY), (-floor, 1.0), (-_LONG, 0.0))
    mark = sunk_text(f"{floor:g}", ((_REST - glass.width) / 2, _BACK / 2), 5.0, stroke)
    use = f"rest it on the skin across the rebate of {name}: its foot stands on the bond flange, {floor:g} deeper"
    return Gauge(f"gauge-{name}", less(united(back, foot), mark), use)


def _gap(name: str, panel: PanelGap, stroke: float) -> Gauge:
    """Return a feeler of two ends: one goes into the gap all round, the other nowhere."""
    thin, thick = panel.gap - min(_PASSES, panel.gap / 2), panel.gap + _PASSES
    grip = bar((-20.0, 20.0), (-10.0, 10.0), (0.0, thick + 1.0))
    ends = bar((-45.0, -19.0), (-10.0, 10.0), (0.0, thin)), bar((19.0, 45.0), (-10.0, 10.0), (0.0, thick))
    whole = united(grip, *ends)
    texts = [sunk_text(f"{value:g}", (x, 0.0), 5.0, stroke) for value, x in ((thin, -8.0), (thick, 8.0))]
    marks = [moved(one, 0.0, 0.0, thick + 1.0) for text in texts for one in text]
    use = f"try it in the gap of {name}, all round: {thin:g} goes in, {thick:g} does not"
    return Gauge(f"gauge-{name}", less(whole, marks), use)
