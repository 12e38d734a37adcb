"""What a build or a plan left, as it is read back: its sections, its plan, its report."""

from __future__ import annotations

import tempfile
from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING, TypeVar

from sections.errors import OutputRefused
from sections.export.manifest import MANIFEST_NAME
from sections.export.read_once import read_anew
from sections.interface.job import Job
from sections.results import sha256_of

if TYPE_CHECKING:
    import cadquery as cq
    import trimesh

    from sections.checks.built_parts import BuiltSection
    from sections.checks.finding import Finding, Report
    from sections.export.manifest import Manifest, PartRecord
    from sections.plan.model import Plan

Data = TypeVar("Data")


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
            raise _replaced(self.out)
        return built_section(self.out, self.id)


@dataclass(frozen=True)
class BuiltJob:
    """A build. folder : of its output. report : what was measured, None where nothing was. stamp : SHA-256 of its
    manifest. What else lies in the folder is read when it is asked for; OutputRefused is raised where another build
    took its place."""

    folder: Path
    report: Report | None
    stamp: str | None

    @staticmethod
    def at(folder: Path, report: Report | None) -> BuiltJob:
        """Return the build that lies in a folder."""
        return BuiltJob(folder, report, sha256_of(folder / MANIFEST_NAME))

    @cached_property
    def manifest(self) -> Manifest:
        """What was made, file by file."""
        from sections.measuring.reading import manifest_of

        return self._as_left(manifest_of)

    @cached_property
    def plan(self) -> Plan:
        """Seams, sections, joints, bosses, assembly."""
        from sections.measuring.reading import plan_of

        return self._as_left(plan_of)

    @property
    def sections(self) -> dict[str, SectionMade]:
        """Its sections, by id."""
        records = {part.id: part for part in self.manifest.parts if part.kind == "section"}
        return {name: SectionMade(name, self.folder, record) for name, record in records.items()}

    @property
    def findings(self) -> tuple[Finding, ...]:
        """What is to be fixed, and noted; empty where nothing was measured."""
        return () if self.report is None else self.report.findings

    def _as_left(self, read: Callable[[Path], Data]) -> Data:
        """Return what is read of its folder. Raises OutputRefused where that is another build's by now."""
        read_anew()
        found = read(self.folder)
        if self.stamp != sha256_of(self.folder / MANIFEST_NAME):
            raise _replaced(self.folder)
        return found


@dataclass(frozen=True)
class PlannedJob:
    """A plan, and no parts. folder : of the plan, its pictures and seams.toml. report : what was measured of it."""

    folder: Path
    plan: Plan
    report: Report


def opened(job: Job, out: str | Path = "out", *, only: str | None = None) -> BuiltJob:
    """Return an earlier build of a job, as it lies in its folder. Raises OutputRefused."""
    from sections.checks.finding import FINDINGS_NAME, report_from_json
    from sections.measuring.reading import read_data

    target = job.folder(out, only)
    report = read_data(target / FINDINGS_NAME, report_from_json) if (target / FINDINGS_NAME).is_file() else None
    built = BuiltJob.at(target, report)
    return built if built.manifest and built.plan else built


def _replaced(folder: Path) -> OutputRefused:
    return OutputRefused(f"{folder}: another build took the place of this one; give each a name of its own")
