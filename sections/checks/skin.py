"""Did the skin stay where the body has it?"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sections.checks.built_parts import BodyTruth, BuiltSection, CheckRules
from sections.checks.finding import Finding, Measure, place
from sections.numbers.bounds import in_box

# mm; the exact points within this of a section's box are its business.
_NEAR = 3.0
# mm; a ray through the body begins so far below its skin.
_INTO = 1e-3


@dataclass(frozen=True)
class SkinReading:
    """Distances of exact points of the body to one built section: which points, and how far each."""

    part: str
    index: np.ndarray
    distance: np.ndarray


def read_skin(part: BuiltSection, truth: BodyTruth) -> SkinReading:
    """Return the distance of every exact point near a section to its surface."""
    return distances_to(part, truth.exact_points)


def distances_to(part: BuiltSection, points: np.ndarray, moved: float = 0.0) -> SkinReading:
    """Return the distance of each of (n, 3) points near a section to its surface. moved : mm; how much further off than
    usual they may lie."""
    near = np.flatnonzero(in_box(points, part.mesh.bounds, _NEAR + moved))
    return SkinReading(part.id, near, part.surface.unsigned(points[near]))


def check_proud(part: BuiltSection, truth: BodyTruth, rules: CheckRules) -> tuple[list[Finding], list[Measure]]:
    """Return a finding when any corner of the section stands out of the body."""
    depth = truth.skin.depth(part.mesh.vertices)
    worst = int(depth.argmin())
    proud = max(-float(depth[worst]), 0.0)
    limit = rules.settings.mesh.deviation
    measures = [Measure("skin-proud", part.id, proud, "mm")]
    if proud <= limit:
        return [], measures
    where = place(part.mesh.vertices[worst])
    return [Finding("skin-proud", "fault", part.id, proud, limit, "mm", where, "stands out of the body")], measures


def check_skin(readings: list[SkinReading], truth: BodyTruth, rules: CheckRules) -> tuple[list[Finding], list[Measure]]:
    """Return a finding for each section whose skin leaves the exact surface, and the deviation of every section.

    An exact point belongs to the built section nearest to it; one that is far from all shows skin that is missing.
    """
    count = len(truth.exact_points)
    least, owner = np.full(count, np.inf), np.full(count, -1)
    for number, reading in enumerate(readings):
        closer = reading.distance < least[reading.index]
        least[reading.index[closer]] = reading.distance[closer]
        owner[reading.index[closer]] = number
    limit = rules.settings.mesh.deviation
    findings, measures = [], []
    for number, reading in enumerate(readings):
        own = np.flatnonzero(owner == number)
        if not len(own):
            text = "no exact point of the body lies on it"
            findings.append(Finding("skin-unmeasured", "unmeasured", reading.part, None, None, "mm", None, text))
            continue
        worst = own[least[own].argmax()]
        off = float(least[worst])
        measures.append(Measure("skin-deviation", reading.part, off, "mm"))
        if off > limit:
            text = f"the skin leaves the body's own{_film(truth, truth.exact_points[worst], rules)}"
            where = place(truth.exact_points[worst])
            findings.append(Finding("skin-moved", "fault", reading.part, off, limit, "mm", where, text))
    lost = np.flatnonzero(owner < 0)
    if len(lost):
        where = place(truth.exact_points[lost[0]])
        text = f"{len(lost)} exact points of the body have no section near them"
        findings.append(Finding("skin-missing", "fault", "body", float(len(lost)), 0.0, "points", where, text))
    return findings, measures


def _film(truth: BodyTruth, point: np.ndarray, rules: CheckRules) -> str:
    """Return in words that the body is thinner at a place, (3,) mm, than two lines of the nozzle, "" else."""
    _, nearest, normal = truth.skin.nearest_and_depth(point[None])
    thick = _INTO + float(truth.skin.first_hit(nearest - _INTO * normal, -normal)[1][0])
    least = rules.settings.printer.two_beads
    return "" if thick >= least else f", a film {thick:.2g} mm thick there; {least:g} prints"
