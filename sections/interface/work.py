"""Planning, building and measuring a job: what the commands of these names do."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from sections.cautions import CAUTIONS, JIG_CAUTION
from sections.errors import BadInput
from sections.export.folder_lock import output_folder, working_in
from sections.features.library import read_shapes_library
from sections.interface.job import Job
from sections.interface.made import BuiltJob, PlannedJob
from sections.processes.pool import Pool
from sections.processes.progress import Silent
from sections.results import open_store
from sections.run.ahead import read_ahead_for
from sections.run.unchanged import RunRecord, RunTask, keep_run, same_run
from sections.settings import unused_dimensions
from sections.settings.lines import located
from sections.solids.one_thread import keep_to_one_thread

if TYPE_CHECKING:
    from sections.export.manifest import Manifest

Tell = Callable[[str], None]


def planned(
    job: Job, out: str | Path = "out", *, processes: int | Pool = 1, progress: Tell | None = None
) -> PlannedJob:
    """Find the seams a job leaves open and lay all out, into <name>-plan in `out`; return the plan. Nothing is built.

    processes, progress : as of `build`. Raises BadInput, BuildFailed, OutputRefused.
    """
    target = output_folder(Path(out), f"{job.name}-plan")
    with _working(job, target, "plan", processes, progress) as pool:
        _get_ready(job, pool, checked=True)
        from sections.measuring.reading import plan_of
        from sections.planning.moved_dimensions import dimensions_moved
        from sections.planning.proposing import propose
        from sections.run.reporting import write_report

        # Not sooner: the processes would take the time the library is read in.
        pool.warm(("sections.planning.search_step",))
        moved = partial(dimensions_moved, job.parameters, job.given, job.settings, pool)
        report = propose(job.settings, job.base, target, pool, moved)
        write_report(report, target)
        return PlannedJob(target, plan_of(target), report)


def build(
    job: Job, out: str | Path = "out", *, only: str | None = None, pictures: bool = False, check: bool = True,
    processes: int | Pool = 1, progress: Tell | None = None,
) -> BuiltJob:  # fmt: skip
    """Build a job into its folder in `out`, and measure it; return what was made.

    only : one section's id. pictures : draw it too. processes : how many at once, a number; or a pool of the caller's,
    which then says the progress. progress : is given a line for each step. Raises BadInput, BuildFailed, OutputRefused.
    """
    target = job.folder(out, only)
    with _working(job, target, "build", processes, progress) as pool:
        task = RunTask.of(job.settings, job.base, ("build", only, pictures), target)
        kept = same_run(pool.store, task)
        if kept is not None:
            return _as_kept(kept, target, pool, "built")
        _get_ready(job, pool, checked=check)
        from sections.run.build import BuildOptions
        from sections.run.build import build as built
        from sections.run.checking import check_output
        from sections.run.reporting import write_report

        made = built(job.settings, job.base, BuildOptions(target, only, pictures), pool)
        said = _built_lines(job, target, made.manifest)
        for line in said:
            pool.progress.say(line)
        if not check:
            return BuiltJob.at(target, None)
        report = check_output(job.settings, job.base, target, pool, made.body)
        write_report(report, target)
        keep_run(pool.store, task, made.manifest.sources, said)
        return BuiltJob.at(target, report)


def check(job: Job, out: str | Path = "out", *, processes: int | Pool = 1, progress: Tell | None = None) -> BuiltJob:
    """Measure an earlier build of a job as it lies in its folder; return it. Nothing is built.

    processes, progress : as of `build`. Raises BadInput, OutputRefused.
    """
    target = job.folder(out)
    with _working(job, target, "build", processes, progress) as pool:
        for pictures in (False, True):
            kept = same_run(pool.store, RunTask.of(job.settings, job.base, ("build", None, pictures), target))
            if kept is not None:
                return _as_kept(kept, target, pool, "measured")
        read_ahead_for(job.settings)
        from sections.run.checking import check_output
        from sections.run.reporting import write_report

        report = check_output(job.settings, job.base, target, pool)
        write_report(report, target)
        return BuiltJob.at(target, report)


def _as_kept(kept: RunRecord, target: Path, pool: Pool, done: str) -> BuiltJob:
    """Return a build that would come out as it lies there, and say what it came to. done : since when it is so."""
    from sections.checks.finding import FINDINGS_NAME, report_from_json

    for line in (f"{target}: nothing changed since it was {done}", *kept.said):
        pool.progress.say(line)
    return BuiltJob.at(target, report_from_json((target / FINDINGS_NAME).read_text("utf-8")))


def _get_ready(job: Job, pool: Pool, *, checked: bool) -> None:
    """Read the library of exact shapes, and have other processes read what they need meanwhile; say what is not used of
    the parameter file."""
    for line in unused_dimensions(job.parameters, job.settings):
        pool.progress.say(line)
    read_ahead_for(job.settings, checked=checked)
    read_shapes_library()


def _built_lines(job: Job, target: Path, manifest: Manifest) -> list[str]:
    """Return what a build came to, and what to take care of."""
    made = [part for part in manifest.parts if part.kind == "section"]
    weight_kg = sum(part.mass_g for part in made) / 1000
    sections = f"{len(made)} section{'s' * (len(made) != 1)}"
    jig = (JIG_CAUTION,) if "jig" in manifest.papers else ()
    return [f"{target}: {sections}, {weight_kg:.1f} kg of {job.settings.material.name} if solid", *CAUTIONS, *jig]


@contextmanager
def _working(job: Job, target: Path, what: str, processes: int | Pool, progress: Tell | None) -> Iterator[Pool]:
    """Give the processes to work with in an output folder, which is held for this one. A mistake that is found late
    names its line in the parameter file."""
    with ExitStack() as held:
        pool = processes if isinstance(processes, Pool) else held.enter_context(_own_pool(processes, progress))
        held.enter_context(working_in(target, what, pool.progress.say))
        try:
            yield pool
        except BadInput as error:
            raise located(error, job.parameters) from None


@contextmanager
def _own_pool(processes: int, progress: Tell | None) -> Iterator[Pool]:
    """Give processes of one's own, and the store of results, which is kept within its bounds."""
    lines, store = _Lines(progress or (lambda line: None)), open_store()
    with Pool(processes, lines, store, keep_to_one_thread) as pool:
        yield pool
    for line in store.trim():
        lines.say(line)


class _Lines(Silent):
    """Progress as lines, one a step."""

    def __init__(self, say: Tell):
        self._say = say

    def start(self, step: str, total: int) -> None:
        """Say the step, and how many items it has."""
        self._say(f"{step}: {total}" if total > 1 else step)

    def say(self, line: str) -> None:
        """Say a line."""
        self._say(line)
