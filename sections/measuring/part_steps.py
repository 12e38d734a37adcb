"""The checks done in other processes: one call a section or a pair, from files to findings.

What reads a body stays out of here, so that a new process is ready soon.

A new process waits for all it imports; OCC takes four seconds to load.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path

from sections.checks.assembly_steps import check_way_out, ways_out
from sections.checks.built_parts import CheckRules
from sections.checks.closure import Inside, WallPoints, read_inside
from sections.checks.coverage import read_coverage
from sections.checks.finding import Finding, Measure
from sections.checks.opening import check_gap
from sections.checks.pair_faces import read_faces
from sections.checks.pane import check_pane
from sections.checks.skin import SkinReading, read_skin
from sections.checks.table import PAIR_CHECKS, PART_CHECKS, run_checks
from sections.measuring.reading import (
    as_read,
    built_pair,
    built_section,
    file_contents,
    plan_of,
    record_of,
    section_read,
    truth_of,
)
from sections.plan.model import PlannedPair
from sections.results import digest_of
from sections.results.scratch import Scratch, held
from sections.settings.narrow import narrowed, without_places


@dataclass(frozen=True)
class PartResult:
    """What the checks of one section gave, and its readings for the checks of the whole body."""

    findings: list[Finding]
    measures: list[Measure]
    skin: SkinReading | None = None
    inside: Inside | None = None
    given: SkinReading | None = None


# The tables of the parameter file that checks of sections, pairs and what is in openings read.
_READ = (
    "mesh", "wall", "flange", "bolts", "dowels", "keys", "fits", "openings", "seams", "pose", "printer", "printers",
    "material", "checks",
)  # fmt: skip
_RULES, _RULES_CONTENT = "check-rules", "check-rules-content"


def put_check_rules(scratch: Scratch, rules: CheckRules) -> None:
    """Keep what the checks of parts and pairs are given of the settings in a scratch folder."""
    settings = narrowed(rules.settings, _READ)
    # Where seams run is in what is planned of each section and pair.
    settings = settings.model_copy(update={"seams": without_places(settings.seams)})
    given = replace(rules, settings=settings)
    scratch.put(_RULES, given)
    scratch.put(_RULES_CONTENT, digest_of(given))


def check_rules(folder: Path) -> CheckRules:
    """Return what the checks of parts and pairs are given of the settings."""
    return held(folder, _RULES)


def part_content(folder: Path, out: Path, section_id: str) -> tuple:
    """Return all that what is measured on one section depends on: as it is read, body and rules."""
    return as_read(out, section_id), held(folder, "truth-content"), held(folder, _RULES_CONTENT)


def check_part(folder: Path, out: Path, section_id: str) -> PartResult:
    """Return what the checks of one built section give."""
    why = section_read(out, folder, section_id).why
    if why is not None:
        return PartResult([Finding("unreadable", "unmeasured", section_id, None, None, "", None, why)], [])
    given = (part_content(folder, out, section_id), held(folder, "wall"))
    return Scratch(folder).once("part-checked", given, lambda: _check_part(folder, out, section_id))


def _check_part(folder: Path, out: Path, section_id: str) -> PartResult:
    wall: WallPoints = held(folder, "wall")
    truth, part = truth_of(folder), built_section(out, section_id)
    findings, measures = run_checks(PART_CHECKS, part, truth, check_rules(folder))
    skin, given = read_skin(part, truth), read_coverage(part, truth)
    return PartResult(findings, measures, skin, read_inside(part, wall), given)


def check_pair(folder: Path, out: Path, planned: PlannedPair) -> PartResult:
    """Return what the checks of two built sections put together give; nothing when a file of theirs cannot be read,
    which the section's own check tells."""
    if any(section_read(out, folder, one).why is not None for one in (planned.minus, planned.plus)):
        return PartResult([], [])
    plan, sides = plan_of(out), (planned.minus, planned.plus)
    records = [record_of(out, one) for one in sides]
    given = (
        planned, [plan.section(one) for one in sides], [file_contents(out, one) for one in sides],
        [(record.growth, record.foot_height) for record in records],
        [seam for seam in plan.seams if seam.id == planned.seam], plan.joints_across(planned.id),
        held(folder, _RULES_CONTENT),
    )  # fmt: skip
    return Scratch(folder).once("pair-checked", given, lambda: _check_pair(folder, out, planned))


def _check_pair(folder: Path, out: Path, planned: PlannedPair) -> PartResult:
    pair = built_pair(out, planned)
    faces = read_faces(pair)
    findings, measures = run_checks(PAIR_CHECKS, pair, faces, check_rules(folder))
    return PartResult(findings, measures)


def check_panel(folder: Path, out: Path, panel_id: str, opening: str, around: tuple[str, ...]) -> PartResult:
    """Return what the gap between a panel's section and the sections around it gives."""

    def checked() -> PartResult:
        part, others = built_section(out, panel_id), [built_section(out, one) for one in around]
        findings, measures = check_gap(part, others, opening, truth_of(folder), check_rules(folder))
        return PartResult(findings, measures)

    return _checked_together(folder, out, ("panel-gap", opening), (panel_id, *around), checked)


def check_panel_opens(folder: Path, out: Path, panel: str, own: tuple[str, ...], around: tuple[str, ...]) -> PartResult:
    """Return whether a panel, all its sections together, comes straight out of its opening."""

    def checked() -> PartResult:
        parts, others = [built_section(out, one) for one in own], [built_section(out, one) for one in around]
        findings, measures = check_way_out(panel, parts, others, ways_out(parts, truth_of(folder)))
        return PartResult(findings, measures)

    return _checked_together(folder, out, ("panel-opens", panel, len(own)), (*own, *around), checked)


def check_pane_goes_in(folder: Path, out: Path, number: int, around: tuple[str, ...]) -> PartResult:
    """Return whether the pane of an opening comes straight in. around : the sections it lies in."""

    def checked() -> PartResult:
        truth, settings = truth_of(folder), check_rules(folder).settings
        asked = next(opening for opening in settings.openings if opening.id == truth.opening_ids[number])
        parts = [built_section(out, one) for one in around]
        findings, measures = check_pane(number, parts, asked.glass, truth)
        return PartResult(findings, measures)

    return _checked_together(folder, out, ("pane-goes-in", number), around, checked)


def _checked_together(
    folder: Path, out: Path, what: tuple, sections: tuple[str, ...], checked: Callable[[], PartResult]
) -> PartResult:
    """Return what some sections, as they are read, give for a check of theirs, made once; nothing when a file of theirs
    cannot be read, which the section's own check tells. what : the check, and what it is asked besides."""
    if any(section_read(out, folder, one).why is not None for one in sections):
        return PartResult([], [])
    given = (what, sections, [part_content(folder, out, one) for one in sections])
    return Scratch(folder).once("checked-together", given, checked)
