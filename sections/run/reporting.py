"""Findings as a command ends with them: written into its folder, said by their causes, counted."""

from __future__ import annotations

from pathlib import Path

from sections.checks.finding import FINDINGS_NAME, Report, report_to_json
from sections.checks.grouped import grouped, noted
from sections.export.stage import write_whole
from sections.processes.pool import Pool


def report_findings(report: Report, target: Path, pool: Pool) -> int:
    """Write findings.json into an output folder, say the findings by their causes, and return how many there are."""
    write_report(report, target)
    return say_findings(report, target, pool)


def write_report(report: Report, target: Path) -> None:
    """Write findings.json into an output folder."""
    write_whole(target / FINDINGS_NAME, report_to_json(report))


def say_findings(report: Report, target: Path, pool: Pool) -> int:
    """Say the findings of a report by their causes, and return how many there are."""
    for line in (*grouped(report.findings), *noted(report.findings)):
        pool.progress.say(line)
    count, notes = report.to_fix, len(report.findings) - report.to_fix
    also = f", {notes} note{'s' * (notes != 1)} (findings.json)" if notes else ""
    said = f"{count or 'no'} finding{'' if count == 1 else 's'}{also}, {len(report.measures)} measures"
    pool.progress.say(f"{target}: {said}, {pool.seconds:.0f} s")
    return count
