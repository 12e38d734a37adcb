"""What has been printed: each section as its file was, with what it was to go together with, in a folder of the user's
beside the parameter file. No build touches it."""

from __future__ import annotations

import shutil
from dataclasses import dataclass, replace
from datetime import date
from difflib import get_close_matches
from pathlib import Path
from typing import Any

from pydantic import TypeAdapter

from sections.checks.built_parts import BuiltSection
from sections.coupons.estimate import print_hours
from sections.errors import BadInput, OutputRefused, Problem
from sections.export.files import PRINT_FORMATS
from sections.export.manifest import FileRecord, Manifest, PartRecord
from sections.export.read_once import read_anew, read_once
from sections.export.stage import write_whole
from sections.measuring.reading import read_data, read_with_foot
from sections.plan.model import Plan, PlannedBoss, PlannedJoint, PlannedPair, PlannedSeam, PlannedSection
from sections.results import sha256_of
from sections.settings import Settings

_SCHEMA = 1


@dataclass(frozen=True)
class PrintedSection:
    """One section as it was printed.

    on : the day, ISO 8601. record : what the manifest said of it, its print file beside this. planned, seams, bosses :
    as planned then. pairs, joints : those across its seams. settings, sources : keys then, and SHA-256 of what went
    into it. grams : if solid, its foot too. hours : in the printer, estimated.
    """

    schema: int
    on: str
    record: PartRecord
    planned: PlannedSection
    seams: tuple[PlannedSeam, ...]
    bosses: tuple[PlannedBoss, ...]
    pairs: tuple[PlannedPair, ...]
    joints: tuple[PlannedJoint, ...]
    settings: dict[str, Any]
    sources: dict[str, str]
    grams: float
    hours: float

    @property
    def id(self) -> str:
        """The section's id."""
        return self.record.id

    @property
    def file(self) -> FileRecord:
        """The file it was printed from."""
        return self.record.files[0]

    def joints_across(self, pair_id: str) -> tuple[PlannedJoint, ...]:
        """Return the joints of a pair as they were."""
        return tuple(joint for joint in self.joints if joint.pair == pair_id)


_ADAPTER = TypeAdapter(PrintedSection)


def printed_folder(parameters: Path) -> Path:
    """Return where what was printed of a parameter file's body is kept: mine-printed beside mine.toml."""
    return parameters.with_name(f"{parameters.stem}-printed")


def note_printed(settings: Settings, out: Path, plan: Plan, manifest: Manifest, ids: list[str], folder: Path) -> None:
    """Keep sections of an output folder as printed. folder : see `printed_folder`.

    Raises BadInput for an id there is not, OutputRefused where a file is not as the build wrote it.
    """
    records = {part.id: part for part in manifest.parts if part.kind == "section"}
    for name in ids:
        if name not in records:
            near = get_close_matches(name, records, 3) or list(records)[:3]
            limit = f"a section of {out}, such as {', '.join(near)}"
            raise BadInput([Problem("(command line)", "ID", name, limit, "correct the id")])
    made = [_printed(settings, out, plan, manifest, records[name]) for name in ids]
    try:
        folder.mkdir(exist_ok=True)
        for printed, source in made:
            shutil.copyfile(source, folder / printed.file.path)
    except OSError as error:
        raise OutputRefused(f"{folder}: cannot be written: {error.strerror or error}") from error
    for printed, _ in made:
        write_whole(folder / f"{printed.id}.json", _ADAPTER.dump_json(printed, indent=1).decode() + "\n")


def forget_printed(folder: Path, ids: list[str]) -> None:
    """Take sections out of what was printed. Raises BadInput for one that is not there."""
    there = {path.stem: path for path in folder.glob("*.json")}
    for name in ids:
        if name not in there:
            limit = f"one that is recorded: {', '.join(sorted(there)) or 'there is none'}"
            raise BadInput([Problem("(command line)", "ID", name, limit, "correct the id")])
    read_anew()
    for name in ids:
        printed = read_printed(folder, name)
        there[name].unlink()
        (folder / printed.file.path).unlink(missing_ok=True)


def all_printed(folder: Path) -> list[PrintedSection]:
    """Return what was printed, by id. Raises OutputRefused for a record that is damaged."""
    return [read_printed(folder, path.stem) for path in sorted(folder.glob("*.json"))]


@read_once(256)
def read_printed(folder: Path, name: str) -> PrintedSection:
    """Return one section as printed. Raises OutputRefused."""
    printed = read_data(folder / f"{name}.json", _ADAPTER.validate_json)
    if Path(printed.file.path).name != printed.file.path:
        raise OutputRefused(f"{folder / name}.json: not as it was written (a file that lies elsewhere)")
    return printed


@read_once(40)
def built_as_printed(folder: Path, name: str) -> BuiltSection:
    """Return a section as its print file holds it, in the vehicle frame. Raises BadInput, OutputRefused."""
    printed = read_printed(folder, name)
    path = folder / printed.file.path
    if sha256_of(path) != printed.file.sha256:
        raise OutputRefused(f"{path}: missing, or not as it was printed; record the section again")
    mesh, foot = read_with_foot(folder, printed.record)
    planes = {seam.id: seam.plane for seam in printed.seams}
    return BuiltSection(printed.planned, mesh, planes, printed.bosses, foot)


def _printed(settings: Settings, out: Path, plan: Plan, manifest: Manifest, record: PartRecord):
    """Return (a section as printed now, its print file)."""
    file = next(file for file in record.files if file.format in PRINT_FORMATS)
    source = out / file.path
    if sha256_of(source) != file.sha256:
        raise OutputRefused(f"{source}: missing, or not as the build wrote it; build again")
    own = replace(record, files=(replace(file, path=f"{record.id}.{file.format}"),))
    planned, seams, bosses = plan.section(record.id), plan.seams_of(record.id), plan.bosses_of(record.id)
    pairs = tuple(pair for pair in plan.pairs if record.id in (pair.minus, pair.plus))
    joints = tuple(joint for pair in pairs for joint in plan.joints_across(pair.id))
    grams = record.mass_g + record.foot_g
    hours = print_hours(settings, grams / settings.material.density * 1000, record.size[2])
    printed = PrintedSection(
        _SCHEMA, date.today().isoformat(), own, planned, seams, bosses, pairs, joints, manifest.settings,
        manifest.sources, grams, hours,
    )  # fmt: skip
    return printed, source
