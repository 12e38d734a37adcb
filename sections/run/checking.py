"""Running every check over an output folder."""

from __future__ import annotations

import tempfile
from dataclasses import dataclass, replace
from pathlib import Path

from sections.body import Body, load_body
from sections.checks.built import Rules
from sections.checks.closure import Inside, WallPoints, check_closure, read_inside, wall_points
from sections.checks.finding import FINDINGS_SCHEMA, Finding, Measure, Report
from sections.checks.pair_faces import read_faces
from sections.checks.skin import SkinReading, check_skin, read_skin
from sections.checks.table import PAIR_CHECKS, PART_CHECKS
from sections.plan.model import Plan, PlannedPair
from sections.run.digest import parameters_digest
from sections.run.pool import Pool
from sections.run.reading import (
    built_pair,
    built_section,
    changed_files,
    keep_truth,
    loose_pieces,
    manifest_of,
    plan_of,
    readable,
    truth_of,
)
from sections.run.scratch import Scratch, held
from sections.settings import Settings
from sections.settings.joint_line import flange_reach

FINDINGS_NAME = "findings.json"


@dataclass(frozen=True)
class PartResult:
    """What the checks of one section gave, and its readings for the checks of the whole body."""

    findings: list[Finding]
    measures: list[Measure]
    skin: SkinReading | None
    inside: Inside | None


def check_output(settings: Settings, folder: Path, out: Path, pool: Pool, body: Body | None = None) -> Report:
    """Return the report on the output folder `out`, measured on the files in it.

    folder : where the parameter file lies. body : as read before in this run; left out, it is read from its source.
    Raises OutputRefused, BadInput.
    """
    for cached in (plan_of, manifest_of, built_section):
        cached.cache_clear()
    plan, manifest = plan_of(out), manifest_of(out)
    findings = [
        Finding("file-changed", "fault", part, None, None, "", None, text)
        for part, text in changed_files(out, manifest)
    ]
    digest = parameters_digest(settings, folder)
    if digest != manifest.parameters_sha256:
        text = "the parameters or the body changed since this was built; build again"
        findings.append(Finding("stale", "fault", "all", None, None, "", None, text))
    with tempfile.TemporaryDirectory(prefix="sections-") as kept:
        scratch = Scratch(Path(kept))
        pool.warm()
        if body is None:
            pool.progress.start("reading the body", 1)
            body = load_body(settings, folder)
        keep_truth(scratch, body)
        results = _all(settings, scratch, out, plan, pool)
        findings += results.findings
    findings = [_with_reason(finding, plan) for finding in findings]
    return Report(FINDINGS_SCHEMA, settings.name, manifest.parameters_sha256, tuple(findings), tuple(results.measures))


def _all(settings: Settings, scratch: Scratch, out: Path, plan: Plan, pool: Pool) -> PartResult:
    """Run the checks of sections, pairs and body."""
    truth = truth_of(scratch.folder)
    rules = Rules(settings, flange_reach(settings), loose_pieces(out))
    wall = wall_points(truth, rules)
    scratch.put("rules", rules)
    scratch.put("wall", wall)
    ids = [section.id for section in plan.sections]
    parts = pool.map("checking sections", check_part, [(scratch.folder, out, i) for i in ids], ids)
    present = {i for i, part in zip(ids, parts, strict=True) if part.skin is not None}
    # In the order of the sections, so that those a process has read are soon met again.
    place = {section_id: number for number, section_id in enumerate(ids)}
    pairs = sorted(
        (pair for pair in plan.pairs if {pair.minus, pair.plus} <= present),
        key=lambda pair: sorted([place[pair.minus], place[pair.plus]]),
    )
    tasks = [(scratch.folder, out, pair) for pair in pairs]
    mated = pool.map("checking seams", check_pair, tasks, [pair.id for pair in pairs])
    findings = [f for part in (*parts, *mated) for f in part.findings]
    measures = [m for part in (*parts, *mated) for m in part.measures]
    if manifest_of(out).only is None:
        for found, read in (
            check_skin([part.skin for part in parts if part.skin is not None], truth, rules),
            check_closure([part.inside for part in parts if part.inside is not None], wall, plan),
        ):
            findings += found
            measures += read
    return PartResult(findings, measures, None, None)


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
    """Return what the checks of two built sections put together give."""
    rules: Rules = held(folder, "rules")
    pair = built_pair(out, planned)
    faces = read_faces(pair)
    findings, measures = _run(PAIR_CHECKS, pair, faces, rules)
    return PartResult(findings, measures, None, None)


def _run(checks: tuple, *arguments) -> tuple[list[Finding], list[Measure]]:
    """Return what all checks of a table find and measure."""
    findings, measures = [], []
    for check in checks:
        found, read = check(*arguments)
        findings += found
        measures += read
    return findings, measures


_REASONS = {"dowel-count": "dowel", "key-none": "key", "bolt-none": "bolt"}


def _with_reason(finding: Finding, plan: Plan) -> Finding:
    """Return a finding about a joint that is not there with what the plan noted of it."""
    kind = _REASONS.get(finding.code)
    for short in plan.shortages:
        if short.kind == kind and short.where == finding.part:
            return replace(finding, text=f"{finding.text} ({short.reason})")
    return finding
