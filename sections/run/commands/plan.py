"""Finding seams."""

from __future__ import annotations

from functools import partial
from pathlib import Path

from sections.errors import BadInput
from sections.export.folder_lock import output_folder, working_in
from sections.features.library import read_shapes_library
from sections.processes.pool import Pool
from sections.run.ahead import read_ahead_for
from sections.run.reporting import report_findings
from sections.settings import Given, load_settings, unused_dimensions
from sections.settings.lines import located


def run_plan(parameters: Path, out: Path, pool: Pool, *, given: Given) -> int:
    """Find seams and write them into out/<name>-plan; return how many faults the plan has."""
    settings = load_settings(parameters, given)
    for line in unused_dimensions(parameters, settings):
        pool.progress.say(line)
    read_ahead_for(settings)
    read_shapes_library()
    from sections.planning.moved_dimensions import dimensions_moved
    from sections.planning.proposing import SEAMS_NAME, propose

    # Not sooner: the processes would take the time the library is read in.
    pool.warm(("sections.planning.search_step",))
    target = output_folder(out, f"{settings.name}-plan")
    with working_in(target, "plan", pool.progress.say):
        try:
            moved = partial(dimensions_moved, parameters, given, settings, pool)
            report = propose(settings, parameters.parent, target, pool, moved)
        except BadInput as error:
            raise located(error, parameters) from None
        for name in dict.fromkeys(measure.name for measure in report.measures):
            # Of several with one name the least: the nearest approach of all.
            least = min((one for one in report.measures if one.name == name), key=lambda one: one.value)
            where = "" if least.part == "all" else f" ({least.part})"
            pool.progress.say(f"{name}: {least.value:.4g} {least.unit}".rstrip() + where)
        pool.progress.say(f"{target}: {SEAMS_NAME}, the plan and pictures")
        return report_findings(report, target, pool)
