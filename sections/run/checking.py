"""Running every check over an output folder."""

from __future__ import annotations

import tempfile
from dataclasses import replace
from pathlib import Path

from sections.body import Body, load_body
from sections.body.seen_places import with_seen_shapes
from sections.checks.built_parts import CheckRules
from sections.checks.closure import check_closure, wall_points
from sections.checks.coverage import check_coverage
from sections.checks.finding import FINDINGS_SCHEMA, Finding, Report
from sections.checks.hardpoint import tool_spaces
from sections.checks.keep_out import check_bolts_keep_off
from sections.checks.skin import check_skin
from sections.donor.keep_outs import keep_outs
from sections.errors import BadInput
from sections.export.digest import changed_sources, parameters_digest
from sections.export.manifest import Manifest
from sections.export.read_once import read_anew
from sections.measuring.hand_steps import check_reach
from sections.measuring.jig_steps import check_jig
from sections.measuring.part_steps import (
    PartResult,
    check_pair,
    check_pane_goes_in,
    check_panel,
    check_panel_opens,
    check_part,
    put_check_rules,
)
from sections.measuring.reading import (
    changed_files,
    keep_truth,
    loose_pieces,
    manifest_of,
    plan_of,
    section_read,
    sections_near,
    truth_of,
)
from sections.measuring.step_file_step import check_step_file
from sections.plan.model import Plan, PlannedSection
from sections.processes.pool import Begun, Pool
from sections.products.guides import check_guides
from sections.results.scratch import Scratch, keep_results
from sections.settings import Settings
from sections.settings.joint_line import flange_reach
from sections.solids.distance import MeshDistance

# mm; sections this near a panel may be around it.
_BESIDE = 60.0


def check_output(settings: Settings, folder: Path, out: Path, pool: Pool, body: Body | None = None) -> Report:
    """Return the report on the output folder `out`, measured on the files in it.

    folder : where the parameter file lies. body : as read before in this run; left out, it is read from its source.
    Raises OutputRefused, BadInput.
    """
    read_anew()
    plan, manifest = plan_of(out), manifest_of(out)
    findings = [
        Finding("file-changed", "fault", part, None, None, "", None, text)
        for part, text in changed_files(out, manifest)
    ]
    digest = parameters_digest(settings, folder)
    if digest != manifest.parameters_sha256 or changed_sources(manifest.sources, folder):
        text = "the parameters or the body changed since this was built; build again"
        findings.append(Finding("stale", "fault", "all", None, None, "", None, text))
    why = _why_unmeasurable(out, plan, manifest)
    if why is not None:
        text = f"nothing was measured: {why}; build again"
        findings.append(Finding("unreadable", "unmeasured", "all", None, None, "", None, text))
        return Report(FINDINGS_SCHEMA, settings.name, manifest.parameters_sha256, tuple(findings), ())
    with tempfile.TemporaryDirectory(prefix="sections-") as kept:
        scratch = Scratch(Path(kept))
        pool.warm(("sections.measuring.part_steps", "trimesh"))
        keep_results(scratch, pool.store)
        rules = CheckRules(settings, flange_reach(settings), loose_pieces(out))
        scratch.put("rules", rules)
        put_check_rules(scratch, rules)
        # Seams are checked without the body, so the other processes begin on them while it is read.
        seams = _begin_seams(scratch, out, plan, pool)
        if body is None:
            pool.progress.start("reading the body", 1)
            body = load_body(settings, folder, pool.store)
        placed = with_seen_shapes(settings, folder, MeshDistance(body.skin, body.doubt))
        kept_off = keep_outs(placed, folder) + tool_spaces(plan, settings)
        keep_truth(scratch, body, settings.printer.two_beads, kept_off)
        results = _all(seams.results("checking seams"), rules, scratch, out, pool)
        findings += results.findings
    findings = [_with_reason(finding, plan) for finding in findings]
    return Report(FINDINGS_SCHEMA, settings.name, manifest.parameters_sha256, tuple(findings), tuple(results.measures))


def _why_unmeasurable(out: Path, plan: Plan, manifest: Manifest) -> str | None:
    """Return why an output cannot be measured at all, None where it can: what all measures stand on."""
    if manifest.plan is None or changed_files(out, replace(manifest, parts=(), assembly=None, jig=())):
        return "plan.json is not as it was written"
    built = {part.id for part in manifest.parts if part.kind == "section"}
    if built != {section.id for section in plan.sections}:
        return "plan.json and manifest.json have other sections"
    try:
        loose_pieces(out)
    except (BadInput, StopIteration) as error:
        return f"hardware that cannot be read ({str(error).splitlines()[0] if str(error) else 'no STL or 3MF'})"
    return None


def _begin_seams(scratch: Scratch, out: Path, plan: Plan, pool: Pool) -> Begun:
    """Begin on the seams in the order of the sections, so that those a process has read are soon met again."""
    place = {section.id: number for number, section in enumerate(plan.sections)}
    pairs = [pair for pair in plan.pairs if {pair.minus, pair.plus} <= place.keys()]
    pairs.sort(key=lambda pair: sorted([place[pair.minus], place[pair.plus]]))
    return pool.begin(check_pair, [(scratch.folder, out, pair) for pair in pairs], [pair.id for pair in pairs])


def _all(mated: list[PartResult], rules: CheckRules, scratch: Scratch, out: Path, pool: Pool) -> PartResult:
    """Run the checks of sections and body, and return what they and those of the seams found and measured."""
    truth, plan = truth_of(scratch.folder), plan_of(out)
    wall = wall_points(truth, rules)
    scratch.put("wall", wall)
    ids = [section.id for section in plan.sections]
    parts = pool.map("checking sections", check_part, [(scratch.folder, out, i) for i in ids], ids)
    steps = []
    if "step" in rules.settings.output.formats:
        steps = pool.map("checking STEP files", check_step_file, [(scratch.folder, out, i) for i in ids], ids)
    parts += _panels(rules, scratch, out, pool) + _panes(rules, scratch, out, pool)
    findings = [f for part in (*parts, *mated, *steps) for f in part.findings]
    measures = [m for part in (*parts, *mated, *steps) for m in part.measures]
    if manifest_of(out).only is None:
        skins = [part.skin for part in parts if part.skin is not None]
        covering = skins if truth.given is None else [part.given for part in parts if part.given is not None]
        for found, read in (
            check_jig(scratch.folder, out, rules, pool),
            check_reach(scratch.folder, out, plan, pool),
            check_guides(out, truth, rules.settings),
            check_bolts_keep_off(plan, truth.keep_outs, rules.settings),
            check_skin(skins, truth, rules),
            check_coverage(covering, truth, rules),
            check_closure([part.inside for part in parts if part.inside is not None], wall, plan),
        ):
            findings += found
            measures += read
    return PartResult(findings, measures)


def _panels(rules: CheckRules, scratch: Scratch, out: Path, pool: Pool) -> list[PartResult]:
    """Check the gap around every section of a panel that opens, and that the panel comes out."""
    panels = [section for section in plan_of(out).sections if section.panel]
    if not panels or manifest_of(out).only is not None:
        return []
    beside = {panel.id: _beside(panel, scratch.folder, out) for panel in panels}
    tasks = [(scratch.folder, out, panel.id, panel.panel, beside[panel.id]) for panel in panels]
    results = pool.map("checking panels", check_panel, tasks, [panel.id for panel in panels])
    tasks = []
    for name in dict.fromkeys(panel.panel for panel in panels):
        own = tuple(panel.id for panel in panels if panel.panel == name)
        around = tuple(dict.fromkeys(one for panel in own for one in beside[panel]))
        tasks.append((scratch.folder, out, name, own, around))
    return results + pool.map("opening panels", check_panel_opens, tasks, [task[2] for task in tasks])


def _panes(rules: CheckRules, scratch: Scratch, out: Path, pool: Pool) -> list[PartResult]:
    """Check that every pane comes straight into its opening."""
    truth = truth_of(scratch.folder)
    glazed = {opening.id for opening in rules.settings.openings if opening.glass is not None}
    numbers = [number for number, name in enumerate(truth.opening_ids) if name in glazed]
    if not numbers or manifest_of(out).only is not None:
        return []
    tasks = []
    for number in numbers:
        around = sections_near(out, scratch.folder, truth.openings[number].mesh.bounds, _BESIDE)
        tasks.append((scratch.folder, out, number, around))
    return pool.map("putting panes in", check_pane_goes_in, tasks, [truth.opening_ids[n] for n in numbers])


def _beside(panel: PlannedSection, folder: Path, out: Path) -> tuple[str, ...]:
    """Return the sections that may be around a panel's; none where it cannot be read, which its own check tells."""
    own = section_read(out, folder, panel.id).bounds
    if own is None:
        return ()
    of_panel = {section.id for section in plan_of(out).sections if section.panel == panel.panel}
    return tuple(name for name in sections_near(out, folder, own, _BESIDE) if name not in of_panel)


_REASONS = {"dowel-count": "dowel", "key-none": "key", "unkeyed": "key", "bolt-none": "bolt", "bonded": "bonded"}


def _with_reason(finding: Finding, plan: Plan) -> Finding:
    """Return a finding about a joint that is not there with what the plan noted of it."""
    kind = _REASONS.get(finding.code)
    for short in plan.shortages:
        if short.kind == kind and short.where == finding.part:
            return replace(finding, text=f"{finding.text} ({short.reason})")
    return finding
