"""What was printed, against what is built now: which printed sections no longer fit, which look different, which are
still good, since which edit, and what printing again costs."""

from __future__ import annotations

import tempfile
from collections import defaultdict
from collections.abc import Callable
from pathlib import Path

from sections.body import load_body
from sections.checks.built_parts import BuiltPair, CheckRules
from sections.checks.finding import FINDINGS_SCHEMA, Finding, Found, Measure, Report
from sections.checks.printed import misfits, pair_faults, skin_moved
from sections.export.manifest import Manifest
from sections.measuring.part_steps import check_rules, put_check_rules
from sections.measuring.reading import (
    built_pair,
    built_section,
    keep_truth,
    loose_pieces,
    manifest_of,
    plan_of,
    truth_of,
)
from sections.plan.model import Plan, PlannedPair
from sections.processes.pool import Pool
from sections.results.scratch import Scratch
from sections.run.changes import asked_changes
from sections.run.printed import PrintedSection, all_printed, built_as_printed, read_printed
from sections.settings import Settings
from sections.settings.joint_line import flange_reach


def printed_changes(settings: Settings, folder: Path, out: Path, kept: Path, pool: Pool) -> Report:
    """Return how what was printed stands to what lies in an output folder.

    folder : where the parameter file lies. kept : see `printed.printed_folder`. Raises OutputRefused, BadInput.
    """
    plan, manifest = plan_of(out), manifest_of(out)
    printed = all_printed(kept)
    now = {section.id for section in plan.sections}
    gone = [one for one in printed if one.id not in now]
    other = [one for one in printed if one.id in now and not _is_same(one, manifest)]
    findings = [_gone(one) for one in gone]
    measures: list[Measure] = []
    if other:
        for found, read in _held_against(settings, folder, out, kept, other, pool):
            findings += found
            measures += read
    again = _again([*gone, *other], findings)
    _say(printed, [*gone, *other], again, manifest, pool.progress.say)
    measures += [
        Measure("printed-again", "all", float(len(again)), "sections"),
        Measure("printed-again-mass", "all", sum(one.grams for one in again), "g"),
        Measure("printed-again-time", "all", sum(one.hours for one in again), "h"),
    ]
    return Report(FINDINGS_SCHEMA, settings.name, manifest.parameters_sha256, tuple(findings), tuple(measures))


def _is_same(one: PrintedSection, manifest: Manifest) -> bool:
    """Return whether a section would be printed from the same file today."""
    record = next(part for part in manifest.parts if part.kind == "section" and part.id == one.id)
    return any(file.format == one.file.format and file.sha256 == one.file.sha256 for file in record.files)


def _held_against(
    settings: Settings, folder: Path, out: Path, kept: Path, other: list[PrintedSection], pool: Pool
) -> list[Found]:
    """Return what is found of sections that were printed from other files than lie there now, and of their seams."""
    names = tuple(one.id for one in other)
    with tempfile.TemporaryDirectory(prefix="sections-") as place:
        scratch = Scratch(Path(place))
        put_check_rules(scratch, CheckRules(settings, flange_reach(settings), loose_pieces(out)))
        pairs = [pair for pair in plan_of(out).pairs if {pair.minus, pair.plus} & set(names)]
        tasks = [(scratch.folder, out, kept, pair, names) for pair in pairs]
        begun = pool.begin(fit_printed, tasks, [pair.id for pair in pairs])
        pool.progress.start("reading the body", 1)
        keep_truth(scratch, load_body(settings, folder), settings.printer.two_beads)
        found = begun.results("putting printed sections together")
        tasks = [(scratch.folder, out, kept, name) for name in names]
        found += pool.map("looking at printed skins", skin_of_printed, tasks, names)
    found += [_seams_lost(one, plan_of(out)) for one in other]
    bad = {one.id for one in _again(other, [finding for some, _ in found for finding in some])}
    return [*found, *(_inside(one) for one in other if one.id not in bad)]


def fit_printed(folder: Path, out: Path, kept: Path, pair: PlannedPair, names: tuple[str, ...]) -> Found:
    """Return whether two sections go together across a seam, those of `names` as they were printed, others as built."""
    rules, built = check_rules(folder), built_pair(out, pair)
    minus = built_as_printed(kept, pair.minus) if pair.minus in names else built.minus
    plus = built_as_printed(kept, pair.plus) if pair.plus in names else built.plus
    plane, joints = built.plane, built.joints
    if pair.minus in names and pair.plus in names:
        # Both were made for the seam as it was.
        one = read_printed(kept, pair.minus)
        plane = next((seam.plane for seam in one.seams if seam.id == pair.seam), plane)
        joints = one.joints_across(pair.id)
    usual = {finding.code for finding in pair_faults(built, rules)}
    return misfits(BuiltPair(built.seam, built.given, plane, minus, plus, joints), usual, rules), []


def skin_of_printed(folder: Path, out: Path, kept: Path, name: str) -> Found:
    """Return how far the skin of a printed section is off the one built now."""
    return skin_moved(built_as_printed(kept, name), built_section(out, name), truth_of(folder), check_rules(folder))


def _seams_lost(one: PrintedSection, plan: Plan) -> Found:
    """Return the neighbours a section was printed for that it does not have any more."""
    now = {pair.id for pair in plan.pairs}
    lost = [pair.id for pair in one.pairs if pair.id not in now]
    text = f"it was printed for neighbours it does not have now: {', '.join(lost)}"
    return ([Finding("printed-misfit", "fault", one.id, None, None, "", None, text)] if lost else []), []


def _inside(one: PrintedSection) -> Found:
    text = "printed from another file; it goes together with its neighbours, and its skin is where the body has it"
    return [Finding("printed-inside", "note", one.id, None, None, "", None, text)], []


def _gone(one: PrintedSection) -> Finding:
    return Finding(
        "printed-gone", "fault", one.id, None, None, "", None, "it was printed, and is no section of the body now"
    )


def _again(others: list[PrintedSection], findings: list[Finding]) -> list[PrintedSection]:
    """Return, of sections printed otherwise than they would be today, those that something is wrong with."""
    wrong = {finding.part for finding in findings if finding.level != "note"}
    return [one for one in others if one.id in wrong or wrong & {pair.id for pair in one.pairs}]


def _say(
    printed: list[PrintedSection], others: list[PrintedSection], again: list[PrintedSection], manifest: Manifest,
    say: Callable[[str], None],
) -> None:  # fmt: skip
    """Say what was edited since sections were printed, how many are still good, and what printing the others takes."""
    edits: dict[str, list[str]] = defaultdict(list)
    for one in others:
        edits["; ".join(asked_changes(one.settings, one.sources, manifest)) or "the program itself"].append(one.id)
    for edit, names in edits.items():
        say(f"changed since {', '.join(names)} {'were' if len(names) > 1 else 'was'} printed: {edit}")
    same, good = len(printed) - len(others), len(others) - len(again)
    say(f"{len(printed)} printed: {same} as today, {good} otherwise but still good, {len(again)} to print again")
    if again:
        grams, hours = sum(one.grams for one in again), sum(one.hours for one in again)
        say(f"to print again: {', '.join(one.id for one in again)}; {grams:.0f} g if solid, some {hours:.1f} h")
