"""Body Sections from Python: what the commands do, for scripts and notebooks.

    import sections

    job = sections.read("params/mine.toml", wheelbase=2100)
    built = sections.build(job, progress=print)
    built.sections["X0"].mesh.volume

Mistakes raise `sections.errors.SectionsError`, in the words the commands would say. Lengths in mm, vehicle frame.
"""

from __future__ import annotations

import tempfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from functools import cached_property, partial
from pathlib import Path
from typing import TYPE_CHECKING

from sections.errors import BadInput, OutputRefused
from sections.export.folder_lock import output_folder, working_in
from sections.processes.pool import Pool
from sections.processes.progress import Silent
from sections.results import open_store
from sections.settings import Given, Settings, load_settings
from sections.solids.one_thread import keep_to_one_thread

if TYPE_CHECKING:
    import cadquery as cq
    import trimesh

    from sections.checks.built_parts import BuiltSection
    from sections.checks.finding import Finding, Report
    from sections.export.manifest import Manifest, PartRecord
    from sections.numbers.frame import Frame
    from sections.plan.model import Plan, PlannedBoss, PlannedJoint

Tell = Callable[[str], None]


@dataclass(frozen=True)
class Job:
    """A parameter file as read. settings : every key. parameters : the file. given : values that came with it,
    as a command line gives them."""

    settings: Settings
    parameters: Path
    given: Given = Given()

    @property
    def name(self) -> str:
        """The job's name, and its output folder's."""
        return self.settings.name

    def folder(self, out: str | Path, only: str | None = None) -> Path:
        """Return its output folder in `out`. only : of a build of one section, its id."""
        return output_folder(Path(out), self.name if only is None else f"{self.name}-{only}")


@dataclass(frozen=True)
class SectionMade:
    """One section of a build. out : its output folder. record : what the manifest says of it. In a notebook it shows
    itself. Its shape is read when it is asked for; it raises OutputRefused where another build took its place."""

    id: str
    out: Path
    record: PartRecord

    @cached_property
    def mesh(self) -> trimesh.Trimesh:
        """The section read back from its print file, mm, in the vehicle frame."""
        import trimesh

        mesh = self._built().mesh
        return trimesh.Trimesh(mesh.vertices, mesh.faces, process=False)

    @cached_property
    def solid(self) -> cq.Shape:
        """The shape in its STEP file, mm, in the vehicle frame. Raises OutputRefused where it has none, or one of bare
        triangles: the CAD kernel measures nothing right on those."""
        import cadquery as cq

        from sections.solids.step_read import read_step

        self._built()
        path = next((file.path for file in self.record.files if file.format == "step"), None)
        if path is None:
            raise OutputRefused(f"{self.out}: no STEP file of {self.id}; build with step among output.formats")
        if self.record.step == "tessellated":
            why = f"{self.id}'s STEP file holds triangles, not faces: {self.record.step_why}; take its mesh"
            raise OutputRefused(f"{self.out}: {why}")
        return cq.Shape.cast(read_step(self.out / path)[0])

    def _repr_png_(self) -> bytes:
        from sections.pictures.album import THREE_QUARTER
        from sections.pictures.render import Item, render

        with tempfile.TemporaryDirectory(prefix="sections-") as held:
            item = Item(self._built().mesh, (0.62, 0.70, 0.74))
            render([item], {"it.png": THREE_QUARTER}, Path(held))
            return (Path(held) / "it.png").read_bytes()

    def _built(self) -> BuiltSection:
        """Return it as it lies in its folder. Raises OutputRefused where that is no longer what this build wrote."""
        from sections.measuring.reading import built_section, manifest_of

        records = [part for part in manifest_of(self.out).parts if part.id == self.id]
        if [record.files for record in records] != [self.record.files]:
            raise OutputRefused(f"{self.out}: another build took the place of this one; give each a name of its own")
        return built_section(self.out, self.id)


@dataclass(frozen=True)
class BuiltJob:
    """A build. folder : of its output. report : what was measured, None where nothing was."""

    folder: Path
    manifest: Manifest
    plan: Plan
    report: Report | None

    @property
    def sections(self) -> dict[str, SectionMade]:
        """Its sections, by id."""
        records = {part.id: part for part in self.manifest.parts if part.kind == "section"}
        return {name: SectionMade(name, self.folder, record) for name, record in records.items()}

    @property
    def findings(self) -> tuple[Finding, ...]:
        """What is to be fixed, and noted; empty where nothing was measured."""
        return () if self.report is None else self.report.findings


@dataclass(frozen=True)
class PlannedJob:
    """A plan, and no parts. folder : of the plan, its pictures and seams.toml. report : what was measured of it."""

    folder: Path
    plan: Plan
    report: Report


def read(
    parameters: str | Path, *, name: str | None = None, allow_outside: bool = False, **dimensions: float | str
) -> Job:
    """Return a parameter file as read and judged. Raises BadInput.

    name : of the job, instead of the file's. dimensions : values of [dimensions] by name, each in its own unit.
    """
    given = Given({one: str(value) for one, value in dimensions.items()}, name, allow_outside)
    return Job(load_settings(Path(parameters), given), Path(parameters), given)


def planned(job: Job, out: str | Path = "out", *, processes: int = 1, progress: Tell | None = None) -> PlannedJob:
    """Find the seams a job leaves open and lay all out, into <name>-plan in `out`; return the plan. Nothing is built.

    processes, progress : as of `build`. Raises BadInput, BuildFailed, OutputRefused.
    """
    from sections.measuring.reading import plan_of
    from sections.planning.moved_dimensions import dimensions_moved
    from sections.planning.proposing import propose
    from sections.run.reporting import write_report

    target = output_folder(Path(out), f"{job.name}-plan")
    with _work(job, target, "plan", processes, progress) as pool:
        moved = partial(dimensions_moved, job.parameters, job.given, job.settings, pool)
        report = propose(job.settings, job.parameters.parent, target, pool, moved)
        write_report(report, target)
    return PlannedJob(target, plan_of(target), report)


def build(
    job: Job, out: str | Path = "out", *, only: str | None = None, check: bool = True, processes: int = 1,
    progress: Tell | None = None,
) -> BuiltJob:  # fmt: skip
    """Build a job into its folder in `out`, and measure it; return what was made.

    only : one section's id. processes : how many at once, a number. progress : is given a line for each step. Raises
    BadInput, BuildFailed, OutputRefused.
    """
    from sections.run.build import BuildOptions
    from sections.run.build import build as built
    from sections.run.checking import check_output
    from sections.run.reporting import write_report

    target = job.folder(out, only)
    with _work(job, target, "build", processes, progress) as pool:
        made = built(job.settings, job.parameters.parent, BuildOptions(target, only), pool)
        report = None
        if check:
            report = check_output(job.settings, job.parameters.parent, target, pool, made.body)
            write_report(report, target)
    return opened(job, out, only=only, report=report)


def check(job: Job, out: str | Path = "out", *, processes: int = 1, progress: Tell | None = None) -> BuiltJob:
    """Measure an earlier build of a job as it lies in its folder; return it. Nothing is built.

    processes, progress : as of `build`. Raises BadInput, OutputRefused.
    """
    from sections.run.checking import check_output
    from sections.run.reporting import write_report

    target = job.folder(out)
    with _work(job, target, "build", processes, progress) as pool:
        report = check_output(job.settings, job.parameters.parent, target, pool)
        write_report(report, target)
    return opened(job, out, report=report)


def opened(job: Job, out: str | Path = "out", *, only: str | None = None, report: Report | None = None) -> BuiltJob:
    """Return an earlier build of a job, as it lies in its folder. Raises OutputRefused."""
    from sections.checks.finding import FINDINGS_NAME, report_from_json
    from sections.export.read_once import read_anew
    from sections.measuring.reading import manifest_of, plan_of, read_data

    target = job.folder(out, only)
    read_anew()
    if report is None and (target / FINDINGS_NAME).is_file():
        report = read_data(target / FINDINGS_NAME, report_from_json)
    return BuiltJob(target, manifest_of(target), plan_of(target), report)


def joint_solids(joint: PlannedJoint) -> dict[str, list[cq.Shape]]:
    """Return what a planned joint cuts from the sections on its "minus" and "plus" side, or adds to them, in place."""
    place = _place(joint.frame)
    solids: dict[str, list[cq.Shape]] = {"minus": [], "plus": []}
    for tool in joint.joint.tools():
        solids[tool.side].append(tool.solid.moved(place))
    return solids


def boss_solids(boss: PlannedBoss) -> dict[str, list[cq.Shape]]:
    """Return what a planned boss or hardpoint adds to its section, "add", and what it cuts from it, "cut", in place.
    Of what is added, a section takes what lies in the body."""
    place = _place(boss.frame)
    return {"add": [one.moved(place) for one in boss.boss.standoffs()], "cut": [boss.boss.bore().moved(place)]}


def _place(frame: Frame) -> cq.Location:
    import cadquery as cq

    return cq.Location(cq.Plane(tuple(frame.origin), tuple(frame.x), tuple(frame.z)))


@contextmanager
def _work(job: Job, target: Path, what: str, processes: int, progress: Tell | None) -> Iterator[Pool]:
    """Give the processes to work with in an output folder, which is held for this one. A mistake that is found late
    names its line in the parameter file."""
    from sections.settings.lines import located

    say = progress or (lambda line: None)
    with Pool(processes, _Lines(say), open_store(), keep_to_one_thread) as pool, working_in(target, what, say):
        try:
            yield pool
        except BadInput as error:
            raise located(error, job.parameters) from None


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
