"""Does the part fit the printer, in the pose its file has?"""

from __future__ import annotations

import numpy as np

from sections.checks.built import BodyTruth, BuiltSection, Rules
from sections.checks.finding import Finding, Measure
from sections.plan.pose import bed_of, choose_pose

# mm; 32-bit floats.
_ROUNDING = 1e-3


def check_bed(part: BuiltSection, truth: BodyTruth, rules: Rules) -> tuple[list[Finding], list[Measure]]:
    """Return a finding for each bed axis the built part is too long for, and whether another pose would do."""
    printer = rules.settings.printer
    margin = printer.margin
    low, high = part.printed.bounds
    bed = bed_of(printer)
    free_low = np.array([margin, margin, 0.0])
    free_high = free_low + bed.room
    size = high - low
    measures = [Measure(f"size-{axis}", part.id, float(s), "mm") for axis, s in zip("xyz", size, strict=True)]
    findings = []
    for axis in range(3):
        if low[axis] < free_low[axis] - _ROUNDING or high[axis] > free_high[axis] + _ROUNDING:
            other = choose_pose(part.mesh.vertices, [], bed)
            does = "another pose would fit" if other.excess <= 0 else f"no pose fits, by {other.excess:.1f} mm at best"
            findings.append(
                Finding("off-bed", "fault", part.id, float(size[axis]), bed.room[axis], "mm", None,
                        f"too long along bed {'xyz'[axis]}; {does}")
            )  # fmt: skip
    return findings, measures
