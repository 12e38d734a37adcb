"""What the commands do that look at builds: printed sections noted, and held against a build; two builds compared."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from sections.errors import BadInput, BuildFailed, Problem
from sections.export.folder_lock import output_folder, working_in
from sections.export.stage import staged
from sections.processes.pool import Pool
from sections.run.ahead import read_ahead_for
from sections.run.reporting import report_findings
from sections.settings import Given, Settings, load_settings

if TYPE_CHECKING:
    from sections.run.varying import Variation


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


def run_changed(parameters: Path, out: Path, pool: Pool, *, given: Given) -> int:
    """Say how what was printed stands to out/<name>, into out/<name>-changed; return how many findings there are."""
    settings = load_settings(parameters, given)
    from sections.export.read_once import read_anew
    from sections.run.printed import printed_folder
    from sections.run.printed_changes import printed_changes

    read_anew()
    target, built = output_folder(out, f"{settings.name}-changed"), output_folder(out, settings.name)
    kept = printed_folder(parameters)
    _must_be_current(settings, parameters, built, kept)
    read_ahead_for(settings)
    with working_in(target, "changed", pool.progress.say):
        with staged(target, "changed"):
            report = printed_changes(settings, parameters.parent, built, kept, pool)
        return report_findings(report, target, pool)


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


def run_variants(parameters: Path, out: Path, pool: Pool, *, given: Given, ids: list[str], **asked: bool) -> int:
    """Build a file as it stands and at the dimensions of its variants, each into a folder of its own, and compare them
    with the first, into out/<name>-variants; return how many findings there are.

    ids : of variants; none for all. asked : `pictures`, `check`, as of run_build. What cannot be built is said and left
    out; its error is raised at the end.
    """
    from sections.run.commands import run_build
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


def _output_of(path: Path, out: Path, given: Given) -> Path:
    """Return the output folder that is meant by a parameter file, or by itself."""
    if path.is_dir():
        return path
    return output_folder(out, load_settings(path, given).name)


def _must_be_current(settings: Settings, parameters: Path, built: Path, kept: Path) -> None:
    """Refuse to compare with a build of other parameters, or where nothing was printed."""
    from sections.export.digest import changed_sources, parameters_digest
    from sections.measuring.reading import manifest_of

    if not any(kept.glob("*.json")):
        limit = "sections that were noted as printed: sections printed PARAMETERS ID ..."
        raise BadInput([Problem(str(kept), "(printed)", "none", limit, "note them as you print them")])
    manifest, folder = manifest_of(built), parameters.parent
    if parameters_digest(settings, folder) != manifest.parameters_sha256 or changed_sources(manifest.sources, folder):
        limit = f"parameters as {built} was built from; they changed since"
        raise BadInput([Problem(str(parameters), "(build)", "", limit, "sections build first")])
