"""Noting what was printed."""

from __future__ import annotations

from pathlib import Path

from sections.export.folder_lock import output_folder, working_in
from sections.processes.pool import Pool
from sections.settings import Given, load_settings


def run_printed(parameters: Path, out: Path, pool: Pool, *, ids: list[str], forget: bool, given: Given) -> int:
    """Note sections of out/<name> as printed, or no longer; say all that are. Returns 0."""
    settings = load_settings(parameters, given)
    from sections.export.read_once import read_anew
    from sections.measuring.reading import manifest_of, plan_of
    from sections.run.printed import all_printed, forget_printed, note_printed, printed_folder

    read_anew()
    target, kept = output_folder(out, settings.name), printed_folder(parameters)
    if ids and forget:
        forget_printed(kept, ids)
    elif ids:
        with working_in(target, "build", pool.progress.say):
            note_printed(settings, target, plan_of(target), manifest_of(target), ids, kept)
    printed = all_printed(kept)
    for one in printed:
        pool.progress.say(f"{one.id}: printed {one.on}, {one.grams:.0f} g if solid, some {one.hours:.1f} h")
    pool.progress.say(f"{kept}: {len(printed) or 'no'} section{'s' * (len(printed) != 1)} printed")
    return 0
