"""How near what a plan carved, bare sections and bolts, comes to what is kept off."""

from __future__ import annotations

from dataclasses import dataclass

from sections.checks.finding import Finding, Measure
from sections.checks.hardpoint import tool_spaces
from sections.checks.keep_out import check_bolts_keep_off
from sections.donor.kept_off import KeptOff
from sections.planning.make_plan import Planned
from sections.planning.search_step import measure_gaps
from sections.processes.pool import Pool
from sections.results.scratch import Scratch
from sections.settings import Settings


@dataclass(frozen=True)
class Gaps:
    """findings : what comes nearer than asked. measures : how near all comes that comes near."""

    findings: tuple[Finding, ...] = ()
    measures: tuple[Measure, ...] = ()


def gaps_of(settings: Settings, planned: Planned, kept_off: tuple[KeptOff, ...], scratch: Scratch, pool: Pool) -> Gaps:
    """Return how near a plan's bare sections and bolts come to what is kept off, tools at hardpoints too."""
    kept_off += tool_spaces(planned.plan, settings)
    if not kept_off:
        return Gaps()
    scratch.put("kept-off", kept_off)
    names = [section.id for section in planned.plan.sections]
    tasks = [(scratch.folder, name, planned.blanks[name]) for name in names]
    results = [*pool.map("keeping off", measure_gaps, tasks, names)]
    results.append(check_bolts_keep_off(planned.plan, kept_off, settings))
    return Gaps(tuple(one for found, _ in results for one in found), tuple(one for _, read in results for one in read))
