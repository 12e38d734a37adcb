"""A section's STEP file against its print file: the two solids check each other."""

from __future__ import annotations

from dataclasses import replace

from sections.checks.built_parts import BodyTruth, BuiltSection, CheckRules
from sections.checks.finding import Finding, Measure, place
from sections.checks.label import check_label
from sections.checks.same_solid import COMPARED, agreement
from sections.checks.skin import read_skin
from sections.checks.wall import check_wall
from sections.numbers.mesh import Mesh
from sections.solids.distance import MeshDistance


def check_exact(
    part: BuiltSection, exact: Mesh, truth: BodyTruth, rules: CheckRules
) -> tuple[list[Finding], list[Measure]]:
    """Return where the solid of an exact STEP file is not the section that is printed, and its wall, skin and
    mark as measured.

    exact : the file's solid as triangles, in the vehicle frame.
    """
    mesh = rules.settings.mesh
    found = agreement(exact, part.mesh, list(part.planes.values()))
    measures = [
        Measure("step-apart-mean", part.id, found.mean, "mm"),
        Measure("step-apart-most", part.id, found.most, "mm"),
        Measure("step-apart-furthest", part.id, found.furthest, "mm"),
        Measure("step-extents", part.id, found.extents, "mm"),
        Measure("step-seam-faces", part.id, found.seam, "mm2"),
    ]
    findings = []
    why = found.why_not(mesh.deviation)
    if why is not None:
        text = f"its STEP file: {why}"
        findings.append(Finding("step-differs", "fault", part.id, None, None, "", found.where, text))
    off, read = _skin_off(part, exact, truth, rules)
    findings, measures = findings + off, measures + read
    built = replace(part, printed=part.planned.pose.unplace(exact))
    checks = [("step-wall", check_wall)] + ([("step-label", check_label)] if part.planned.label is not None else [])
    for code, check in checks:
        wrong, read = check(built, truth, rules)
        measures += [replace(measure, name=f"step-{measure.name}") for measure in read]
        findings += [replace(one, code=code, text=f"its STEP file: {one.text}") for one in wrong]
    return findings, measures


def _skin_off(
    part: BuiltSection, exact: Mesh, truth: BodyTruth, rules: CheckRules
) -> tuple[list[Finding], list[Measure]]:
    """Return how far points of the exact skin that the printed section shows lie off the exact solid's surface."""
    deviation = rules.settings.mesh.deviation
    reading = read_skin(part, truth)
    points = truth.exact_points[reading.index[reading.distance <= deviation]]
    if not len(points):
        text = "its STEP file: no exact point of the body lies on it"
        return [Finding("step-unmeasured", "unmeasured", part.id, None, None, "mm", None, text)], []
    distance = MeshDistance(exact).unsigned(points)
    worst, limit = int(distance.argmax()), deviation + COMPARED
    measures = [Measure("step-skin", part.id, float(distance[worst]), "mm")]
    if distance[worst] <= limit:
        return [], measures
    text, where = "its STEP file: the skin leaves the body's own", place(points[worst])
    return [Finding("step-skin", "fault", part.id, float(distance[worst]), limit, "mm", where, text)], measures


def check_kind(part_id: str, kind: str, why: str) -> list[Finding]:
    """Return what is to be said of how a section's STEP file holds it: a note where it is not exact, a fault where
    there is none. kind, why : as the manifest has them."""
    if kind == "exact":
        return []
    if kind in ("tessellated", "faceted"):
        return [Finding("step-not-exact", "note", part_id, None, None, "", None, why)]
    text = "its STEP file was not made: the run was stopped before; build again"
    return [Finding("step-missing", "fault", part_id, None, None, "", None, text)]
