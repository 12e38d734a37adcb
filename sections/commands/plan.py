"""Finding seams."""

from __future__ import annotations

from pathlib import Path

from sections.interface import Job, planned
from sections.processes.pool import Pool
from sections.run.reporting import say_findings
from sections.settings import Given


def run_plan(parameters: Path, out: Path, pool: Pool, *, given: Given) -> int:
    """Find seams and write them into out/<name>-plan; return how many faults the plan has."""
    found = planned(Job.read(parameters, given), out, processes=pool)
    from sections.planning.proposing import SEAMS_NAME

    measures = found.report.measures
    for name in dict.fromkeys(measure.name for measure in measures):
        # Of several with one name the least: the nearest approach of all.
        least = min((one for one in measures if one.name == name), key=lambda one: one.value)
        where = "" if least.part == "all" else f" ({least.part})"
        pool.progress.say(f"{name}: {least.value:.4g} {least.unit}".rstrip() + where)
    pool.progress.say(f"{found.folder}: {SEAMS_NAME}, the plan and pictures")
    return say_findings(found.report, found.folder, pool)
