"""Which built sections meet on a seam without a joint between them?"""

from __future__ import annotations

from shapely import MultiPolygon

from sections.checks.finding import Finding, Measure, place
from sections.plan.contacts import contacts
from sections.plan.model import Plan
from sections.plan.seams import Seam


def check_unjoined(faces: dict[str, dict[str, MultiPolygon]], plan: Plan) -> tuple[list[Finding], list[Measure]]:
    """Return a note for every two sections that share part of a face and no joint.

    faces : of built sections, by section and seam, in each seam's own frame.
    """
    seams = {seam.id: Seam(seam.id, seam.given, seam.plane, seam.within) for seam in plan.seams}
    sides = {section.id: dict(section.seams) for section in plan.sections if section.id in faces}
    found = contacts(faces, sides, seams)
    joined = {joint.pair for joint in plan.joints}
    findings, count = [], 0
    for one in (*found.joined, *found.touching):
        count += 1
        pair = f"{one.seam.id}:{one.minus}+{one.plus}"
        if pair not in joined:
            middle = one.outline.representative_point()
            where = place(one.seam.plane.frame().to_world([[middle.x, middle.y, 0.0]])[0])
            text = f"the two share {one.outline.area:.0f} mm2 and no joint: bond them there"
            findings.append(Finding("unjoined", "note", pair, one.outline.area, None, "mm2", where, text))
    return findings, [Measure("contacts", "body", float(count), "")]
