"""What keeps a body from being built."""

from __future__ import annotations

from pathlib import Path

from sections.export.folder_lock import output_folder, working_in
from sections.processes.context import read_ahead
from sections.processes.pool import Pool
from sections.run.ahead import FOREIGN


def run_inspect(file: Path, asked: dict, out: Path, pool: Pool) -> int:
    """Report on a file's health into out/<its name>-health; return how many kinds of fault keep it from being built.
    asked : the fields of `inspecting.InspectionTask`."""
    read_ahead((FOREIGN,))
    from sections.run.inspecting import HEALTH_NAME, InspectionTask, inspect

    target = output_folder(out, f"{file.stem}-health")
    with working_in(target, "inspect", pool.progress.say):
        health = inspect(file, InspectionTask(**asked), target, pool)
        pool.progress.say(f"{target}: {HEALTH_NAME} and pictures")
        return sum(ailment.stops for ailment in health.ailments)
