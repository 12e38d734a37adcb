"""One body at several sets of dimensions."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from sections.errors import BadInput, BuildFailed
from sections.export.folder_lock import output_folder, working_in
from sections.processes.pool import Pool
from sections.settings import Given

if TYPE_CHECKING:
    from sections.run.varying import Variation


def run_variants(parameters: Path, out: Path, pool: Pool, *, given: Given, ids: list[str], **asked: bool) -> int:
    """Build a file as it stands and at the dimensions of its variants, each into a folder of its own, and compare them
    with the first, into out/<name>-variants; return how many findings there are.

    ids : of variants; none for all. asked : `pictures`, `check`, as of run_build. What cannot be built is said and left
    out; its error is raised at the end.
    """
    from sections.commands.build import run_build
    from sections.run.varying import Variation, dimension_words, variant_jobs

    jobs = variant_jobs(parameters, given, ids)
    found, built, failed = 0, [], []
    for job in jobs:
        changed = "; ".join(dimension_words(job, jobs[0].settings)) or "as the file stands"
        pool.progress.say(f"{job.name}: {changed}")
        try:
            found += run_build(parameters, out, pool, given=job.given, only=[], **asked)
            built.append(Variation(job, output_folder(out, job.name)))
        except (BadInput, BuildFailed) as error:
            failed.append(error)
            pool.progress.say(f"{job.name} is left out: {error}")
    if len(built) > 1:
        _compare_variants(built, output_folder(out, f"{jobs[0].name}-variants"), out, pool)
    if failed:
        raise failed[0]
    return found


def _compare_variants(built: list[Variation], target: Path, out: Path, pool: Pool) -> None:
    from sections.export.read_once import read_anew
    from sections.run.comparing import compare
    from sections.run.varying import write_variants

    read_anew()
    first, *others = built
    made = [first]
    for one in others:
        place = output_folder(out, f"{first.folder.name}-to-{one.folder.name}")
        with working_in(place, "compare", pool.progress.say):
            made.append(replace(one, compared=tuple(compare(first.folder, one.folder, place, pool))))
    with working_in(target, "variants", pool.progress.say):
        write_variants(made, target, pool.progress.say)
