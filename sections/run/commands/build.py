"""Building all parts of a parameter file, and measuring them."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from sections.cautions import CAUTIONS, JIG_CAUTION
from sections.errors import BadInput, Problem
from sections.export.folder_lock import output_folder, working_in
from sections.features.library import read_shapes_library
from sections.processes.pool import Pool
from sections.run.ahead import read_ahead_for
from sections.run.reporting import report_findings, say_findings
from sections.run.unchanged import RunRecord, RunTask, keep_run, same_run
from sections.settings import Given, load_settings, unused_dimensions
from sections.settings.lines import located

if TYPE_CHECKING:
    from sections.export.manifest import Manifest


def run_build(
    parameters: Path, out: Path, pool: Pool, *, given: Given, only: list[str], pictures: bool, check: bool
) -> int:
    """Build into out/<name>, or out/<name>-<id> for the one section asked for; return how many findings there are."""
    if len(only) > 1:
        fix = "build all, or each by a command of its own: they go into folders of their own"
        raise BadInput([Problem("(command line)", "--only", ", ".join(only), "one section", fix)])
    section = only[0] if only else None
    settings = load_settings(parameters, given)
    target = output_folder(out, settings.name if section is None else f"{settings.name}-{section}")
    with working_in(target, "build", pool.progress.say):
        task = RunTask.of(settings, parameters.parent, ("build", section, pictures), target)
        kept = same_run(pool.store, task)
        if kept is not None:
            pool.progress.say(f"{target}: nothing changed since it was built")
            return say_again(kept, target, pool)
        for line in unused_dimensions(parameters, settings):
            pool.progress.say(line)
        read_ahead_for(settings, checked=check)
        read_shapes_library()
        from sections.run.build import BuildOptions, build
        from sections.run.checking import check_output

        try:
            built = build(settings, parameters.parent, BuildOptions(target, section, pictures), pool)
        except BadInput as error:
            raise located(error, parameters) from None
        said = _built_lines(settings, target, built.manifest)
        for line in said:
            pool.progress.say(line)
        if not check:
            return _too_long(settings, target, built.manifest, pool)
        count = report_findings(check_output(settings, parameters.parent, target, pool, built.body), target, pool)
        keep_run(pool.store, task, built.manifest.sources, said)
        return count


def _built_lines(settings, target: Path, manifest: Manifest) -> list[str]:
    """Return what a build came to, and what to take care of."""
    made = [part for part in manifest.parts if part.kind == "section"]
    weight_kg = sum(part.mass_g for part in made) / 1000
    sections = f"{len(made)} section{'s' * (len(made) != 1)}"
    jig = (JIG_CAUTION,) if "jig" in manifest.papers else ()
    return [f"{target}: {sections}, {weight_kg:.1f} kg of {settings.material.name} if solid", *CAUTIONS, *jig]


def say_again(kept: RunRecord, target: Path, pool: Pool) -> int:
    """Say what a run came to that would make the same again; return how many findings there are."""
    from sections.checks.finding import FINDINGS_NAME, report_from_json

    for line in kept.said:
        pool.progress.say(line)
    return say_findings(report_from_json((target / FINDINGS_NAME).read_text("utf-8")), target, pool)


def _too_long(settings, target: Path, manifest: Manifest, pool: Pool) -> int:
    """Say which sections are longer than the bed, which is known unmeasured, and return how many."""
    from sections.checks.bed import off_bed_by_size
    from sections.checks.grouped import grouped
    from sections.measuring.reading import plan_of

    sizes = {
        part.id: tuple(size / growth for size, growth in zip(part.size, part.growth, strict=True))
        for part in manifest.parts
        if part.kind == "section"
    }
    found = off_bed_by_size(settings, plan_of(target), sizes)
    for line in grouped(found):
        pool.progress.say(line)
    pool.progress.say(f"{target}: not measured; sections check measures it")
    return len(found)
