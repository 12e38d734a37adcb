"""Building all parts of a parameter file, and measuring them."""

from __future__ import annotations

from pathlib import Path

from sections.errors import BadInput, Problem
from sections.interface import BuiltJob, Job, build
from sections.processes.pool import Pool
from sections.run.reporting import say_findings
from sections.settings import Given


def run_build(
    parameters: Path, out: Path, pool: Pool, *, given: Given, only: list[str], pictures: bool, check: bool
) -> int:
    """Build into out/<name>, or out/<name>-<id> for the one section asked for; return how many findings there are."""
    if len(only) > 1:
        fix = "build all, or each by a command of its own: they go into folders of their own"
        raise BadInput([Problem("(command line)", "--only", ", ".join(only), "one section", fix)])
    job = Job.read(parameters, given)
    built = build(job, out, only=only[0] if only else None, pictures=pictures, check=check, processes=pool)
    if built.report is None:
        return _too_long(job, built, pool)
    return say_findings(built.report, built.folder, pool)


def _too_long(job: Job, built: BuiltJob, pool: Pool) -> int:
    """Say which sections are longer than the bed, which is known unmeasured, and return how many."""
    from sections.checks.bed import off_bed_by_size
    from sections.checks.grouped import grouped

    sizes = {
        part.id: tuple(size / growth for size, growth in zip(part.size, part.growth, strict=True))
        for part in built.manifest.parts
        if part.kind == "section"
    }
    found = off_bed_by_size(job.settings, built.plan, sizes)
    for line in grouped(found):
        pool.progress.say(line)
    pool.progress.say(f"{built.folder}: not measured; sections check measures it")
    return len(found)
