"""What is reported of a stack-up: lines, data, a page."""

from __future__ import annotations

import json
from dataclasses import dataclass

from sections.checks.finding import Finding, finding_rows
from sections.checks.stackup import lever_words, limit_of
from sections.export.page import Page
from sections.numbers.tolerance_stack import levers
from sections.settings import Settings
from sections.stackup.growth import Heat
from sections.stackup.sums import Sum

_READ = """\
Worst case: every error at its limit, all the same way. Root sum of squares: what all but 27 of 10000 bodies keep, if
errors are independent. Parts made alike on one printer are not: what is not known of shrinkage is one error for all of
them and is added as one. Look at the worst case first where much hangs on it. Sections are taken as rigid, drawn
together until all ties give evenly; bolts, keys and glue are not reckoned with. Nothing here stands for a test of the
body."""


@dataclass(frozen=True)
class Stacked:
    """What was found. held : sections the others hang on. jig : whether a jig holds those. sums : the worst first.
    apart : sections that hang on nothing held. monte_carlo : three sigma, mm, of the worst one's place, and
    the root sum of squares of the same contributors. times : how many bodies were tried."""

    held: tuple[str, ...]
    jig: bool
    sums: list[Sum]
    apart: tuple[str, ...]
    monte_carlo: tuple[float, float]
    times: int
    heat: Heat


def stackup_words(stacked: Stacked, settings: Settings) -> list[str]:
    """Return what was found, a line each."""
    worst, (by_trials, same) = stacked.sums[0], stacked.monte_carlo
    on = f"a jig that holds {len(stacked.held)} sections" if stacked.jig else f"the datum {stacked.held[0]}"
    largest = max(stacked.sums, key=lambda one: one.worst)
    lines = [
        f"from {on}: {worst.section} is off by {worst.usual:.2f} mm along {worst.along}, root sum of squares; "
        f"{largest.section} by {largest.worst:.2f} along {largest.along} at worst",
        lever_words(levers(worst.parts, 3)),
        f"Monte Carlo, {stacked.times} bodies: 3 sigma {by_trials:.2f} mm there, by the sum {same:.2f}",
    ]
    heat, table = stacked.heat, settings.stackup
    if heat.expansion is not None:
        warm = f"{table.lowest_temperature:g} to {table.highest_temperature:g} deg C"
        warm += f", joined at {table.assembly_temperature:g}"
        lines.append(f"{warm}: {heat.long:.0f} mm grow by {heat.body:+.2f} mm, {heat.stand:+.2f} against the stand")
    return lines


def widest(sums: list[Sum]) -> list[Sum]:
    """Return of every section's sums that in the direction in which they come to most, the largest first."""
    first: dict[str, Sum] = {}
    for one in sorted(sums, key=lambda one: (-one.usual, one.section, one.along)):
        first.setdefault(one.section, one)
    return list(first.values())


def data_text(stacked: Stacked) -> str:
    """Return everything that was found as JSON."""
    sections = [
        {
            "section": one.section, "along": one.along, "place": one.place, "from_datum": one.from_datum,
            "worst": one.worst, "usual": one.usual,
            "largest": [{"name": lever.part.name, "worst": lever.part.most, "usual": lever.part.usual,
                         "halved": lever.usual} for lever in levers(one.parts, 6)],
        }
        for one in stacked.sums
    ]  # fmt: skip
    heat = {
        "expansion": stacked.heat.expansion,
        "glass_transition": stacked.heat.glass_transition,
        "body": stacked.heat.body,
    }
    data = {
        "held": stacked.held, "jig": stacked.jig, "apart": stacked.apart, "monte_carlo": stacked.monte_carlo[0],
        "by_sum": stacked.monte_carlo[1], "heat": heat, "sections": sections,
    }  # fmt: skip
    return json.dumps(data, indent=1) + "\n"


def page_of(settings: Settings, stacked: Stacked, findings: list[Finding], charts: list[tuple[str, str]]) -> Page:
    """Return the page: what was found, what to look at, every section."""
    page = Page(f"{settings.name}: what its errors add up to")
    page.table(("found",), [(line,) for line in stackup_words(stacked, settings)])
    page.paragraph(_READ)
    if findings:
        page.heading("What to look at")
        page.table(("", "", ""), finding_rows(findings))
    page.heading("Sections")
    for path, says in charts:
        page.paragraph(says)
        page.picture(path, says)
    rows = []
    for one in widest(stacked.sums):
        limit = limit_of(one, settings)
        cells = (one.section, one.along, f"{one.from_datum:.0f}", f"{one.worst:.2f}", f"{one.usual:.2f}")
        rows.append((*cells, "" if limit is None else f"{limit:g}", lever_words(levers(one.parts, 2))))
    heads = ("section", "along", "mm from datum", "worst case", "root sum of squares", "limit", "halving")
    page.table(heads, rows)
    return page
