"""What each command does, without a terminal: settings in, count of findings out.

given : what the command line gives beside the file: values of dimensions, a name, files that may lie elsewhere.

The settings are judged before anything heavy is imported, so that a mistake in the file is reported at once.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from sections.cautions import CAUTIONS, JIG_CAUTION
from sections.errors import BadInput, Problem
from sections.export.folder_lock import output_folder, working_in
from sections.features.library import read_shapes_library
from sections.processes.context import read_ahead
from sections.processes.pool import Pool
from sections.results import open_store
from sections.run.ahead import FOREIGN, read_ahead_for
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
            return _again(kept, target, pool)
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


def _again(kept: RunRecord, target: Path, pool: Pool) -> int:
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


def run_check(parameters: Path, out: Path, pool: Pool, *, given: Given) -> int:
    """Check out/<name>; return how many findings there are."""
    settings = load_settings(parameters, given)
    target = output_folder(out, settings.name)
    with working_in(target, "build", pool.progress.say):
        for pictures in (False, True):
            kept = same_run(pool.store, RunTask.of(settings, parameters.parent, ("build", None, pictures), target))
            if kept is not None:
                pool.progress.say(f"{target}: nothing changed since it was measured")
                return _again(kept, target, pool)
        read_ahead_for(settings)
        from sections.run.checking import check_output

        return report_findings(check_output(settings, parameters.parent, target, pool), target, pool)


def run_results(pool: Pool, *, empty: bool) -> int:
    """Say how many results are kept of earlier runs, and where; take them all away where asked. Returns 0."""
    store = open_store()
    count, size = store.size()
    if empty:
        store.empty()
    done = "taken away" if empty else f"of {store.most / 1e9:g} that may be"
    pool.progress.say(f"{store.folder}: {count} results of earlier runs, {size / 1e9:.2f} GB {done}")
    return 0


def run_coupon(parameters: Path, out: Path, pool: Pool, *, given: Given, proof: bool) -> int:
    """Write the test prints into out/<name>-coupons, or the seam that proves their fits into out/<name>-proof; return
    how many findings there are."""
    settings = load_settings(parameters, given)
    from sections.run.coupons import make_coupons

    target = output_folder(out, f"{settings.name}-{'proof' if proof else 'coupons'}")
    with working_in(target, "coupon", pool.progress.say):
        try:
            report = make_coupons(settings, parameters.parent, target, pool, proof=proof)
        except BadInput as error:
            raise located(error, parameters) from None
        pool.progress.say(CAUTIONS[0])
        return report_findings(report, target, pool)


def run_calibrate(
    parameters: Path, readings: Path, profile: Path | None, out: Path, pool: Pool, *,
    given: Given, ask: Callable[[str], str] | None, agrees: Callable[[str], bool],
) -> int:  # fmt: skip
    """Say what readings tell of the printer, into out/<name>-calibration, and offer to write its profile; return how
    many fits and readings there are to fix. ask : asks for readings that are not there yet, None: they stay so."""
    settings = load_settings(parameters, given)
    from sections.run.ask_readings import ask_readings
    from sections.run.calibrating import PAGE_NAME, CalibrationTask, calibrate_printer, offer_profile

    if ask is not None and ask_readings(readings, ask):
        pool.progress.say(f"{readings}: written")
    target = output_folder(out, f"{settings.name}-calibration")
    place = profile or parameters.parent / f"{settings.name}-printer.toml"
    asked = CalibrationTask(parameters, readings, place, target, agrees)
    with working_in(target, "calibrate", pool.progress.say):
        report, offer = calibrate_printer(settings, asked, pool)
        pool.progress.say(f"{target}: {PAGE_NAME} and charts")
        count = report_findings(report, target, pool)
        offer_profile(asked, offer, pool)
        return count


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


def run_new(parameters: Path, body: Path, units: str | None, scale: float, pool: Pool) -> int:
    """Write a starter parameter file for a body. scale : factor of its size."""
    read_ahead((FOREIGN,))
    from sections.run.starting import start

    for line in start(parameters, body, units, scale, pool.progress.say):
        pool.progress.say(line)
    return 0


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


def run_prepare(parameters: Path, out: Path, pool: Pool, *, given: Given) -> int:
    """Make the skin of a scan and write it into out/<name>-skin."""
    settings = load_settings(parameters, given)
    read_ahead((FOREIGN,))
    from sections.run.preparing import REPORT_NAME, SKIN_NAME, prepare_skin

    target = output_folder(out, f"{settings.name}-skin")
    with working_in(target, "prepare", pool.progress.say):
        try:
            prepare_skin(settings, parameters.parent, target, pool)
        except BadInput as error:
            raise located(error, parameters) from None
        pool.progress.say(f"{target}: {SKIN_NAME}, {REPORT_NAME} and pictures")
        return 0
