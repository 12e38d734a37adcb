"""Measuring what was built."""

from __future__ import annotations

from pathlib import Path

from sections.export.folder_lock import output_folder, working_in
from sections.processes.pool import Pool
from sections.run.ahead import read_ahead_for
from sections.run.commands.build import say_again
from sections.run.reporting import report_findings
from sections.run.unchanged import RunTask, same_run
from sections.settings import Given, load_settings


def run_check(parameters: Path, out: Path, pool: Pool, *, given: Given) -> int:
    """Check out/<name>; return how many findings there are."""
    settings = load_settings(parameters, given)
    target = output_folder(out, settings.name)
    with working_in(target, "build", pool.progress.say):
        for pictures in (False, True):
            kept = same_run(pool.store, RunTask.of(settings, parameters.parent, ("build", None, pictures), target))
            if kept is not None:
                pool.progress.say(f"{target}: nothing changed since it was measured")
                return say_again(kept, target, pool)
        read_ahead_for(settings)
        from sections.run.checking import check_output

        return report_findings(check_output(settings, parameters.parent, target, pool), target, pool)
