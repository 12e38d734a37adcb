"""Checking the jig of an output folder: its sheets or pieces read back, the built sections set on it."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from sections.checks.bed import check_bed
from sections.checks.built_parts import BuiltPair, BuiltSection, CheckRules
from sections.checks.finding import Finding, Measure
from sections.checks.fit_dowel import check_dowels
from sections.checks.fit_key import check_keys
from sections.checks.interference import check_contact, check_interference
from sections.checks.jig import (
    check_clear,
    check_lifting,
    check_location,
    check_pad,
    check_sheet_slots,
    check_splice,
    check_template,
)
from sections.checks.joint_walls import check_joint_walls
from sections.checks.pair_faces import read_faces
from sections.checks.solid import check_solid
from sections.errors import BadInput
from sections.export.read_dxf import Sheet
from sections.jig.model import PlannedJig
from sections.measuring.jig_reading import jig_content, jig_of, parts_of, read_piece, sheet_or_why
from sections.measuring.reading import as_read, built_section, plan_of, sections_near, truth_of
from sections.plan.model import Plan
from sections.processes.pool import Pool
from sections.results.scratch import Scratch, held
from sections.settings.jig import JigTable

# mm; sections this near to a part of the jig are looked at.
_NEAR = 30.0
# Of the checks of two sections that meet, those for two pieces of a printed jig, which are bonded.
_BUTT_CHECKS = (check_interference, check_contact, check_dowels, check_keys, check_joint_walls)


@dataclass(frozen=True)
class JigResult:
    """What one part of the jig gave, and the sections its pads hold."""

    findings: list[Finding]
    measures: list[Measure]
    held: list[str]


def check_jig(folder: Path, out: Path, rules: CheckRules, pool: Pool) -> tuple[list[Finding], list[Measure]]:
    """Return what the jig's checks find and measure; nothing for a build without one. Raises OutputRefused when
    jig.json is not there or damaged."""
    if rules.settings.jig is None:
        return [], []
    jig = jig_of(out)
    findings, measures = check_location(jig.contacts)
    for path in jig.sheets:
        findings += _sheet_findings(
            path, sheet_or_why(out, path), sum(part.laid.sheet == _number(jig, path) for part in jig.parts)
        )
    found, read = _printed(folder, out, jig, rules)
    findings, measures = findings + found, measures + read
    if any(finding.code in ("jig-sheet", "unreadable") for finding in findings):
        return findings, measures
    ids = [part.id for part in jig.parts]
    results = pool.map("checking the jig", check_jig_part, [(folder, out, i) for i in ids], ids)
    for result in results:
        findings += result.findings
        measures += result.measures
    away = joints_away(plan_of(out), {section for result in results for section in result.held})
    measures += [Measure("joints-from-jig", section, steps, "") for section, steps in away.items()]
    for section in plan_of(out).sections:
        if section.id not in away:
            text = "joined to nothing that the jig holds: put it together on its own, on a flat table"
            findings.append(Finding("jig-apart", "note", section.id, None, None, "", None, text))
    return findings, measures


def _printed(folder: Path, out: Path, jig: PlannedJig, rules: CheckRules) -> tuple[list[Finding], list[Measure]]:
    """Return what is wrong with the pieces of a printed jig, and with the joints between them; of those that cannot be
    read, only why."""
    built, findings, measures = {}, [], []
    for piece in jig.pieces:
        try:
            built[piece.id] = BuiltSection(piece, read_piece(out, piece), {}, ())
        except BadInput as error:
            why = str(error).splitlines()[0]
            findings.append(Finding("unreadable", "unmeasured", piece.id, None, None, "", None, why))
    if findings:
        return findings, measures
    for piece in built.values():
        for check in (check_solid, check_bed):
            found, read = check(piece, truth_of(folder), rules)
            findings, measures = findings + found, measures + read
    for butt in jig.butts:
        pair = BuiltPair("jig", butt.id, butt.plane, built[butt.minus], built[butt.plus], butt.joints)
        faces = read_faces(pair)
        for check in _BUTT_CHECKS:
            found, read = check(pair, faces, rules)
            findings, measures = findings + found, measures + read
    return findings, measures


def _number(jig: PlannedJig, path: str) -> int:
    return jig.sheets.index(path) + 1


def _sheet_findings(path: str, sheet: Sheet | str, wanted: int) -> list[Finding]:
    """Return what is wrong with a sheet as a cutter would read it."""
    if isinstance(sheet, str):
        return [Finding("jig-sheet", "fault", path, None, None, "", None, f"cannot be read: {sheet}")]
    wrong = []
    if not sheet.millimetres:
        wrong.append("it is not in millimetres")
    if sheet.open_lines or sheet.faults:
        wrong.append(f"{sheet.open_lines} lines to cut do not close, {sheet.faults} faults in the file")
    if len(sheet.outlines) != wanted or not all(outline.is_valid for outline in sheet.outlines):
        wrong.append(f"{len(sheet.outlines)} sound outlines for {wanted} parts")
    return [Finding("jig-sheet", "fault", path, None, None, "", None, text) for text in wrong]


def check_jig_part(folder: Path, out: Path, part_id: str) -> JigResult:
    """Return what the checks of one part of the jig give."""
    settings = held(folder, "rules").settings
    jig, deviation, part = settings.jig, settings.mesh.deviation, parts_of(out)[part_id]
    near = sections_near(out, folder, part.solid.bounds, _NEAR)
    given = (part_id, jig_content(out), jig, deviation, [as_read(out, name) for name in near])

    def checked() -> JigResult:
        return _check_jig_part(out, part_id, [built_section(out, name) for name in near], jig, deviation)

    return Scratch(folder).once("jig-checked", given, checked)


def _check_jig_part(out: Path, part_id: str, near: list[BuiltSection], jig: JigTable, deviation: float) -> JigResult:
    """Return what the checks of one part of the jig give. near : the sections about it. deviation : mm, of the skin."""
    parts = parts_of(out)
    part = parts[part_id]
    later = [other for name, other in parts.items() if name > part_id]
    findings, measures = check_sheet_slots(part, jig)
    holds = []
    for found, read in (
        check_splice(part, later, jig),
        check_clear(part, near, later),
        check_lifting(part, near),
        check_template(part, near, deviation),
    ):
        findings, measures = findings + found, measures + read
    for contact in jig_of(out).contacts:
        if contact.id.split(":")[0] == part_id:
            found, read, section = check_pad(contact, part, near, jig, deviation)
            findings, measures = findings + found, measures + read
            holds += [section] if section else []
    return JigResult(findings, measures, holds)


def joints_away(plan: Plan, held_sections: set[str]) -> dict[str, int]:
    """Return how many joints lie between each section and the nearest one that the jig holds itself: errors add along
    no more than those."""
    away = dict.fromkeys(sorted(held_sections), 0)
    front = list(away)
    while front:
        reached = [name for section in front for name in plan.neighbours(section) if name not in away]
        for name in reached:
            away[name] = away.get(name, min(away[n] for n in plan.neighbours(name) if n in away) + 1)
        front = list(dict.fromkeys(reached))
    return away
