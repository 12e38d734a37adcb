"""Does the part fit the printer, in the pose its file has?"""

from __future__ import annotations

import numpy as np

from sections.checks.across_openings import stands_across
from sections.checks.built_parts import BodyTruth, BuiltSection, CheckRules
from sections.checks.finding import Finding, Measure
from sections.numbers.mesh import join
from sections.plan.model import Plan
from sections.plan.pose import Bed, beds_of, choose_pose
from sections.settings import Settings

# mm; 32-bit floats. The cosine by which one axis lies along another.
_ROUNDING, _ALONG = 1e-3, 0.97


def off_bed_by_size(settings: Settings, plan: Plan, sizes: dict[str, tuple[float, float, float]]) -> list[Finding]:
    """Return a finding for each section whose size, mm along the bed's axes, is more than its bed takes: what is known
    without measuring the parts. sizes : by the ids of those that were built."""
    beds = beds_of(settings)
    findings = []
    for section in plan.sections:
        if section.id not in sizes:
            continue
        bed = _bed_of(section.printer, beds)
        over = np.array(sizes[section.id]) - bed.room
        worst = int(over.argmax())
        if over[worst] > _ROUNDING:
            size, text = sizes[section.id][worst], f"too long along bed {'xyz'[worst]}"
            findings.append(Finding("off-bed", "fault", section.id, size, float(bed.room[worst]), "mm", None, text))
    return findings


def _bed_of(printer: str, beds: tuple[Bed, ...]) -> Bed:
    """Return the bed of a printer, the first where that is not among them."""
    return next((bed for bed in beds if bed.printer == printer), beds[0])


def _vehicle_axis(part: BuiltSection, axis: int) -> str:
    """Return which axis of the vehicle lies along an axis of the bed, " (vehicle y)", nothing where none does."""
    way = np.abs(part.planned.pose.rotation[:, axis])
    return f" (vehicle {'xyz'[way.argmax()]})" if way.max() > _ALONG else ""


def check_bed(part: BuiltSection, truth: BodyTruth, rules: CheckRules) -> tuple[list[Finding], list[Measure]]:
    """Return a finding when the built part is too long for the bed, and whether another pose would do."""
    beds = beds_of(rules.settings)
    bed = _bed_of(part.planned.printer, beds)
    low, high = (part.printed if part.foot is None else join([part.printed, part.foot])).bounds
    free_low = np.array([*bed.margin, 0.0])
    size = high - low
    measures = [Measure(f"size-{axis}", part.id, float(s), "mm") for axis, s in zip("xyz", size, strict=True)]
    over = np.maximum(free_low - low, high - free_low - bed.room)
    worst = int(over.argmax())
    if over[worst] <= _ROUNDING:
        return [], measures
    other = choose_pose(part.mesh.vertices, [], beds)
    does = "another pose would fit" if other.excess <= 0 else f"no pose fits, by {other.excess:.1f} mm at best"
    along = ", ".join(
        f"{'xyz'[axis]}{_vehicle_axis(part, axis)} {size[axis]:.1f} of {bed.room[axis]:.1f} mm of use"
        for axis in np.flatnonzero(over > _ROUNDING)
    )
    text = f"too long along the bed's {along}; {does}"
    for opening in stands_across(part, truth, rules):
        text += f"; opening {opening} does not part it: a flange stands across that"
    return [Finding("off-bed", "fault", part.id, float(size[worst]), bed.room[worst], "mm", None, text)], measures
