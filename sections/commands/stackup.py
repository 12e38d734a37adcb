"""What errors add up to."""

from __future__ import annotations

from pathlib import Path

from sections.errors import BadInput
from sections.export.folder_lock import output_folder, working_in
from sections.processes.pool import Pool
from sections.run.reporting import report_findings
from sections.settings import Given, load_settings
from sections.settings.lines import located


def run_stackup(parameters: Path, out: Path, pool: Pool, *, given: Given) -> int:
    """Say what the errors of out/<name> add up to, into out/<name>-stackup; return how many places it is too much
    at."""
    settings = load_settings(parameters, given)
    from sections.run.stacking import PAGE_NAME, stack_up

    target = output_folder(out, f"{settings.name}-stackup")
    with working_in(target, "stackup", pool.progress.say):
        try:
            report = stack_up(settings, parameters.parent, out / settings.name, target, pool)
        except BadInput as error:
            raise located(error, parameters) from None
        pool.progress.say(f"{target}: {PAGE_NAME}")
        return report_findings(report, target, pool)
