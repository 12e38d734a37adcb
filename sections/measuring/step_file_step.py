"""Checking one section's STEP file in another process; kept apart from the other checks, which need no OCC."""

from __future__ import annotations

from pathlib import Path

from sections.checks.exact_step import check_exact, check_kind
from sections.checks.finding import Finding
from sections.checks.same_solid import COMPARED
from sections.errors import SectionsError
from sections.export.manifest import PartRecord
from sections.measuring.part_steps import PartResult, check_rules, part_content
from sections.measuring.reading import built_section, record_of, section_read, truth_of
from sections.results.scratch import Scratch
from sections.solids.exact_solid import ExactSolid
from sections.solids.step_read import closed_solids, read_step


def check_step_file(folder: Path, out: Path, section_id: str) -> PartResult:
    """Return what a section's STEP file, read back, gives."""
    record = record_of(out, section_id)
    findings = check_kind(section_id, record.step, record.step_why)
    if record.step != "exact" or section_read(out, folder, section_id).why is not None:
        return PartResult(findings, [])
    given = (record.step, record.step_why, part_content(folder, out, section_id))
    return Scratch(folder).once("step-checked", given, lambda: _check_exact(folder, out, record, findings))


def _check_exact(folder: Path, out: Path, record: PartRecord, findings: list[Finding]) -> PartResult:
    section_id = record.id
    path = out / next(file.path for file in record.files if file.format == "step")
    try:
        solid = ExactSolid.of(closed_solids(read_step(path)[0], path.name))
        mesh = solid.mesh(COMPARED, path.name)
    except SectionsError as error:
        found = Finding("step-unmeasured", "unmeasured", section_id, None, None, "", None, str(error).splitlines()[0])
        return PartResult([found], [])
    if not solid.is_valid or len(solid.pieces()) != 1:
        text = "its STEP file: not one valid solid"
        found = Finding("step-differs", "fault", section_id, float(len(solid.pieces())), 1.0, "", None, text)
        return PartResult([found], [])
    rules = check_rules(folder)
    found, measures = check_exact(built_section(out, section_id), mesh, truth_of(folder), rules)
    return PartResult(found, measures)
