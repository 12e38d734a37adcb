"""The checks done in other processes: one call a section or a pair, from files to findings.

What reads a body stays out of here, so that a new process is ready soon.

A new process waits for all it imports; OCC takes four seconds to load.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from sections.checks.assembled import check_way_out, ways_out
from sections.checks.built import Rules
from sections.checks.closure import Inside, WallPoints, read_inside
from sections.checks.finding import Finding, Measure
from sections.checks.opening import check_gap
from sections.checks.pair_faces import read_faces
from sections.checks.pane import check_pane
from sections.checks.skin import SkinReading, read_skin
from sections.checks.table import PAIR_CHECKS, PART_CHECKS
from sections.plan.model import PlannedPair
from sections.run.reading import built_pair, built_section, readable, truth_of
from sections.run.scratch import held


@dataclass(frozen=True)
class PartResult:
    """What the checks of one section gave, and its readings for the checks of the whole body."""

    findings: list[Finding]
    measures: list[Measure]
    skin: SkinReading | None
    inside: Inside | None


def check_part(folder: Path, out: Path, section_id: str) -> PartResult:
    """Return what the checks of one built section give."""
    why = readable(out, section_id)
    if why is not None:
        return PartResult([Finding("unreadable", "unmeasured", section_id, None, None, "", None, why)], [], None, None)
    rules: Rules = held(folder, "rules")
    wall: WallPoints = held(folder, "wall")
    truth, part = truth_of(folder), built_section(out, section_id)
    findings, measures = _run(PART_CHECKS, part, truth, rules)
    return PartResult(findings, measures, read_skin(part, truth), read_inside(part, wall))


def check_pair(folder: Path, out: Path, planned: PlannedPair) -> PartResult:
    """Return what the checks of two built sections put together give; nothing when a file of theirs cannot be read,
    which the section's own check tells."""
    if readable(out, planned.minus) is not None or readable(out, planned.plus) is not None:
        return PartResult([], [], None, None)
    rules: Rules = held(folder, "rules")
    pair = built_pair(out, planned)
    faces = read_faces(pair)
    findings, measures = _run(PAIR_CHECKS, pair, faces, rules)
    return PartResult(findings, measures, None, None)


def check_panel(folder: Path, out: Path, panel_id: str, opening: str, around: tuple[str, ...]) -> PartResult:
    """Return what the gap between a panel's section and the sections around it gives."""
    if any(readable(out, one) is not None for one in (panel_id, *around)):
        return PartResult([], [], None, None)
    rules: Rules = held(folder, "rules")
    part, others = built_section(out, panel_id), [built_section(out, one) for one in around]
    findings, measures = check_gap(part, others, opening, truth_of(folder), rules)
    return PartResult(findings, measures, None, None)


def check_panel_opens(folder: Path, out: Path, panel: str, own: tuple[str, ...], around: tuple[str, ...]) -> PartResult:
    """Return whether a panel, all its sections together, comes straight out of its opening."""
    if any(readable(out, one) is not None for one in (*own, *around)):
        return PartResult([], [], None, None)
    parts, others = [built_section(out, one) for one in own], [built_section(out, one) for one in around]
    findings, measures = check_way_out(panel, parts, others, ways_out(parts, truth_of(folder)))
    return PartResult(findings, measures, None, None)


def check_pane_goes_in(folder: Path, out: Path, number: int, around: tuple[str, ...]) -> PartResult:
    """Return whether the pane of an opening comes straight in. around : the sections it lies in."""
    if any(readable(out, one) is not None for one in around):
        return PartResult([], [], None, None)
    truth, settings = truth_of(folder), held(folder, "rules").settings
    asked = next(opening for opening in settings.openings if opening.id == truth.opening_ids[number])
    parts = [built_section(out, one) for one in around]
    findings, measures = check_pane(number, parts, asked.glass, truth)
    return PartResult(findings, measures, None, None)


def _run(checks: tuple, *arguments) -> tuple[list[Finding], list[Measure]]:
    """Return what all checks of a table find and measure."""
    findings, measures = [], []
    for check in checks:
        found, read = check(*arguments)
        findings += found
        measures += read
    return findings, measures
