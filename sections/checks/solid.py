"""Is the part a solid: closed, sound, one piece, of positive volume?"""

from __future__ import annotations

import numpy as np

from sections.checks.built_parts import BodyTruth, BuiltSection, CheckRules
from sections.checks.finding import Finding, Measure, place
from sections.numbers.mesh import shell_count, shell_numbers
from sections.solids.print_solid import PrintSolid
from sections.solids.soundness import FOLDS_PER_DEVIATION, solid_flaws

# mm3; a closed hollow smaller than this is a bubble that prints like infill. A guess.
_VOID = 125.0


def check_solid(part: BuiltSection, truth: BodyTruth, rules: CheckRules) -> tuple[list[Finding], list[Measure]]:
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
    return findings + (_voids(part) if volume > 0 else []), measures


def _voids(part: BuiltSection) -> list[Finding]:
    """Return the closed hollows of a part: faces that look inward, around nothing."""
    mesh, shells = part.printed, shell_numbers(part.printed)
    volumes = mesh.shell_volumes(shells)
    found = []
    for number in np.flatnonzero(volumes < -_VOID):
        where = place(part.planned.pose.to_world(mesh.triangles[shells == number].mean((0, 1))[None])[0])
        text = "sealed on all sides: support in it stays there, and no hand gets in"
        found.append(Finding("sealed-void", "fault", part.id, -float(volumes[number]), _VOID, "mm3", where, text))
    return found
