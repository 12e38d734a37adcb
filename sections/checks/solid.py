"""Is the part a solid: closed, sound, one piece, of positive volume?"""

from __future__ import annotations

from sections.checks.built import BodyTruth, BuiltSection, Rules
from sections.checks.finding import Finding, Measure, place
from sections.numbers.mesh import shell_count
from sections.solids.print_solid import PrintSolid
from sections.solids.soundness import FOLDS_PER_DEVIATION, solid_flaws


def check_solid(part: BuiltSection, truth: BodyTruth, rules: Rules) -> tuple[list[Finding], list[Measure]]:
    """Return every flaw of the file's mesh as read back, and its volume and number of pieces."""
    mesh = part.printed
    findings = []
    for flaw in solid_flaws(mesh, rules.settings.mesh.deviation / FOLDS_PER_DEVIATION):
        where = place(part.planned.pose.to_world(flaw.places[:1])[0])
        findings.append(Finding("not-solid", "fault", part.id, float(flaw.count), 0.0, "", where, flaw.kind))
    volume = mesh.volume_mm3
    if volume <= 0:
        findings.append(Finding("no-volume", "fault", part.id, volume, 0.0, "mm3", None, "inside out or empty"))
    measures = [Measure("volume", part.id, volume, "mm3")]
    if not findings:
        pieces = 1 if shell_count(mesh) == 1 else len(PrintSolid.of(mesh, part.id).pieces())
        measures.append(Measure("pieces", part.id, float(pieces), ""))
        if pieces != 1:
            findings.append(Finding("in-pieces", "fault", part.id, float(pieces), 1.0, "", None, "comes apart"))
    return findings, measures
