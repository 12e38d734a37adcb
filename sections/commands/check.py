"""Measuring what was built."""

from __future__ import annotations

from pathlib import Path

from sections.interface import Job, check
from sections.processes.pool import Pool
from sections.run.reporting import say_findings
from sections.settings import Given


def run_check(parameters: Path, out: Path, pool: Pool, *, given: Given) -> int:
    """Check out/<name>; return how many findings there are."""
    checked = check(Job.read(parameters, given), out, processes=pool)
    return say_findings(checked.report, checked.folder, pool)
