"""Running every check over an output folder."""

from __future__ import annotations

import tempfile
from dataclasses import replace
from pathlib import Path

from sections.body import Body, load_body
from sections.body.seen_places import with_seen_shapes
from sections.checks.built_parts import CheckRules
from sections.checks.finding import FINDINGS_SCHEMA, Finding, Report
from sections.checks.hardpoint import tool_spaces
from sections.donor.keep_outs import keep_outs
from sections.errors import BadInput
from sections.export.digest import changed_sources, parameters_digest
from sections.export.manifest import Manifest
from sections.export.read_once import read_anew
from sections.measuring.part_steps import put_check_rules
from sections.measuring.reading import changed_files, keep_truth, loose_pieces, manifest_of, plan_of
from sections.measuring.section_checks import begin_seams
from sections.plan.model import Plan
from sections.processes.pool import Pool
from sections.products.product import Measuring
from sections.products.table import check_products
from sections.results.scratch import Scratch, keep_results
from sections.settings import Settings
from sections.settings.joint_line import flange_reach
from sections.solids.distance import MeshDistance


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
        seams = begin_seams(scratch.folder, out, plan, pool)
        if body is None:
            pool.progress.start("reading the body", 1)
            body = load_body(settings, folder, pool.store)
        placed = with_seen_shapes(settings, folder, MeshDistance(body.skin, body.doubt))
        kept_off = keep_outs(placed, folder) + tool_spaces(plan, settings)
        keep_truth(scratch, body, settings.printer.two_beads, kept_off)
        measuring = Measuring(scratch.folder, out, rules, seams)
        found, measures = check_products(measuring, pool, whole=manifest.only is None)
        findings += found
    findings = [_with_reason(finding, plan) for finding in findings]
    return Report(FINDINGS_SCHEMA, settings.name, manifest.parameters_sha256, tuple(findings), tuple(measures))


def _why_unmeasurable(out: Path, plan: Plan, manifest: Manifest) -> str | None:
    """Return why an output cannot be measured at all, None where it can: what all measures stand on."""
    if manifest.plan is None or changed_files(out, replace(manifest, parts=(), papers={})):
        return "plan.json is not as it was written"
    built = {part.id for part in manifest.parts if part.kind == "section"}
    if built != {section.id for section in plan.sections}:
        return "plan.json and manifest.json have other sections"
    try:
        loose_pieces(out)
    except (BadInput, StopIteration) as error:
        return f"hardware that cannot be read ({str(error).splitlines()[0] if str(error) else 'no STL or 3MF'})"
    return None


_REASONS = {"dowel-count": "dowel", "key-none": "key", "unkeyed": "key", "bolt-none": "bolt", "bonded": "bonded"}


def _with_reason(finding: Finding, plan: Plan) -> Finding:
    """Return a finding about a joint that is not there with what the plan noted of it."""
    kind = _REASONS.get(finding.code)
    for short in plan.shortages:
        if short.kind == kind and short.where == finding.part:
            return replace(finding, text=f"{finding.text} ({short.reason})")
    return finding
