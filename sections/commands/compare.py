"""Two builds, side by side."""

from __future__ import annotations

from pathlib import Path

from sections.export.folder_lock import output_folder, working_in
from sections.processes.pool import Pool
from sections.settings import Given, load_settings


def run_compare(before: Path, after: Path, out: Path, pool: Pool, *, given: Given) -> int:
    """Compare two builds, each given by its parameter file or its output folder, into out/<one>-to-<other>. Returns
    0."""
    sides = [_output_of(path, out, given) for path in (before, after)]
    from sections.export.read_once import read_anew
    from sections.run.comparing import compare

    read_anew()
    target = output_folder(out, f"{sides[0].name}-to-{sides[1].name}")
    with working_in(target, "compare", pool.progress.say):
        compare(*sides, target, pool)
    return 0


def _output_of(path: Path, out: Path, given: Given) -> Path:
    """Return the output folder that is meant by a parameter file, or by itself."""
    if path.is_dir():
        return path
    return output_folder(out, load_settings(path, given).name)
