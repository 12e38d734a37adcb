"""What errors add up to, against what the builder allows; what heat does to it."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Literal

from sections.checks.finding import Finding, Measure
from sections.numbers.tolerance_stack import Lever, levers
from sections.settings import Settings
from sections.settings.fit_values import fit_of, machines_of
from sections.stackup.growth import Heat
from sections.stackup.sums import Sum
from sections.stackup.ties import pin_tilt, real_fit, slot_length
from sections.standards.general import general_tolerance

# deg C; so far below glass transition plastics already creep: common practice, no source.
_BELOW_GLASS = 10.0
# How many contributors are named.
_NAMED = 3


def limit_of(one: Sum, settings: Settings) -> float | None:
    """Return what errors may come to at a place, mm: the builder's limit, or ISO 2768-1's for its distance from the
    datum."""
    table = settings.stackup
    if table.limit is not None or table.tolerance_class is None:
        return table.limit
    return general_tolerance(one.from_datum, table.tolerance_class)


def check_sums(sums: list[Sum], settings: Settings) -> tuple[list[Finding], list[Measure]]:
    """Return where errors come to most more than they may, and at how many sections. sums : of every section, in each
    direction."""
    measures = [Measure(f"stackup-usual-{one.along}", one.section, one.usual, "mm") for one in sums]
    measures += [Measure(f"stackup-worst-{one.along}", one.section, one.worst, "mm") for one in sums]
    limits = {one.section: limit_of(one, settings) for one in sums}
    bound = [one for one in sums if limits[one.section] is not None]
    usual = [one for one in bound if one.usual > limits[one.section]]
    worst = [one for one in bound if one.worst > limits[one.section] >= one.usual]
    findings = []
    for kind, level, over in (("usual", "fault", usual), ("worst", "note", worst)):
        if over:
            one = max(over, key=lambda one, kind=kind: getattr(one, kind) - limits[one.section])
            value, limit = getattr(one, kind), limits[one.section]
            others = len({each.section for each in over}) - 1
            best = lever_words(levers(one.parts, _NAMED, kind), kind)
            text = f"along {one.along}, {one.from_datum:.0f} mm from the datum; {best}"
            text += f"; {others} more sections are over it" if others else ""
            findings.append(Finding(f"stackup-{kind}", level, one.section, value, limit, "mm", one.place, text))
    return findings, measures


def lever_words(best: list[Lever], kind: Literal["usual", "worst"] = "usual") -> str:
    """Return what halving the largest contributors takes off the root sum of squares, or the worst case."""
    return "halving takes off: " + ", ".join(f"{getattr(one, kind):.2f} mm {one.part.name}" for one in best)


def check_slot_lengths(spacings: dict[str, float], settings: Settings) -> list[Finding]:
    """Return whether slots are too short for what two sections' pins may be off. spacings : mm, by pair.

    The distance between its two dowels is off by three deviations of a size in either section, and where sections come
    from several printers by what is not known of either's shrinkage; of one printer's both are off alike.
    """
    machines = machines_of(settings)
    unsure = (
        sum(sorted((max(machine.shrink_uncertainty) for machine in machines), reverse=True)[:2])
        if len(machines) > 1
        else 0.0
    )
    spread = 3 * max(machine.repeatability for machine in machines)
    off = {pair: math.hypot(spread, spread) + unsure * spacing for pair, spacing in spacings.items()}
    pin, play = settings.dowels.diameter, settings.fits.slot
    short = [pair for pair in off if slot_length(pin, off[pair]) > slot_length(pin, play)]
    short.sort(key=lambda pair: (-off[pair], pair))
    if not short:
        return []
    worst, more = short[0], f", and {len(short) - 1} more pairs" if len(short) > 1 else ""
    text = f"of play is what a slot needs {spacings[worst]:.0f} mm from its round dowel{more}: raise fits.slot"
    return [Finding("slot-short", "fault", worst, off[worst], play, "mm", None, text)]


def tilts(spacings: dict[str, float], settings: Settings) -> list[Measure]:
    """Return how far every pair can turn on its two pins before its neighbours hold it, deg. spacings : mm, by pair."""
    play = 2 * 2 * real_fit(settings, fit_of(settings, "dowel"))
    turned = {pair: math.degrees(pin_tilt(play, play, apart)) for pair, apart in spacings.items() if apart > 1.0}
    return [Measure("pin-tilt", pair, tilt, "deg") for pair, tilt in turned.items()]


def check_heat(heat: Heat, settings: Settings) -> tuple[list[Finding], list[Measure]]:
    """Return where heat is too much for the plastic or for what holds the body."""
    findings, table, name = list(_known(heat, settings)), settings.stackup, settings.material.name
    measures = []
    if heat.expansion is not None:
        measures.append(Measure("growth", f"{heat.long:.0f} mm of {name}", heat.body, "mm"))
        measures.append(Measure("growth-against-stand", f"{heat.long:.0f} mm", heat.stand, "mm"))
    if heat.glass_transition is not None and table.highest_temperature > heat.glass_transition - _BELOW_GLASS:
        text = f"{name} softens from {heat.glass_transition:g} deg C on: less dark, shaded, or another plastic"
        limit = heat.glass_transition - _BELOW_GLASS
        findings.append(
            Finding("glass-transition", "fault", name, table.highest_temperature, limit, "deg C", None, text)
        )
    tight = [one for one in heat.between if abs(one.against) > one.room]
    for one in heat.between:
        measures.append(Measure("growth-between", " and ".join(one.ids), one.against, "mm"))
    if tight:
        one = tight[0]
        more = f", and {len(tight) - 1} more pairs" if len(tight) > 1 else ""
        text = (
            f"{one.apart:.0f} mm apart{more}: the body grows so much more than the donor; give `travel` along the line"
        )
        pair = " and ".join(one.ids)
        findings.append(Finding("growth-between", "note", pair, abs(one.against), one.room, "mm", None, text))
    return findings, measures


def _known(heat: Heat, settings: Settings) -> Iterator[Finding]:
    for key, value in (("expansion", heat.expansion), ("glass_transition", heat.glass_transition)):
        if value is None:
            text = f"no {key} is known of {settings.material.name}: give material.{key} from its data sheet"
            yield Finding("heat-unknown", "unmeasured", settings.material.name, None, None, "", None, text)
