"""Does each step of putting the body together go: along its way, onto what it meets?"""

from __future__ import annotations

import numpy as np

from sections.checks.built_parts import BodyTruth, BuiltSection
from sections.checks.finding import Finding, Measure, place
from sections.numbers.bounds import boxes_meet
from sections.numbers.frame import Plane
from sections.numbers.tolerances import IN_THE_WAY, ON_SURFACE
from sections.plan.model import PlannedStep

# Parts of how far something reaches past its seam, at which it is looked at on its way, and mm beyond.
_PARTS, _PAST = np.array([0.02, 0.1, 0.25, 0.5, 0.75, 0.98]), 1.0
# mm; a panel is looked at so far on its way out. The cosine of 60 deg.
_OUT, _ASIDE = (1.0, 3.0, 6.0, 12.0, 25.0, 60.0), 0.5


def beyond_seam(part: BuiltSection, plane: Plane, direction: np.ndarray, *, moved: bool) -> float:
    """Return how far, mm, a section reaches past a step's seam, into the side of what it meets there.

    direction : (3,) unit, the way what is moved comes on.
    """
    off = plane.distance(part.mesh.vertices) * float(np.sign(np.asarray(plane.normal) @ direction))
    return float(off.max() if moved else -off.min())


def check_assembly_step(
    name: str, step: PlannedStep, moved: list[BuiltSection], onto: list[BuiltSection], reach: float
) -> tuple[list[Finding], list[Measure]]:
    """Return what is in the way of a step. moved, onto : the sections that reach past its seam, or that these may meet.
    reach : mm, how far past. What lies on its own side of the seam passes nothing."""
    way, findings, worst = np.array(step.direction), [], 0.0
    for one in moved:
        for other in onto:
            for off in (*_PARTS * reach, reach + _PAST):
                common = one.solid.moved(-off * way).common(other.solid)
                worst = max(worst, common.volume_mm3)
                if common.volume_mm3 > IN_THE_WAY:
                    text = f"{one.id} does not come onto {other.id} straight along the step's way"
                    where = place(common.bounds.mean(0))
                    findings.append(
                        Finding("blocked", "fault", name, common.volume_mm3, IN_THE_WAY, "mm3", where, text)
                    )
                    break
    return findings, [Measure("step-blocked", name, max(worst, 0.0), "mm3")]


def check_way_out(
    name: str, panel: list[BuiltSection], around: list[BuiltSection], ways: list[np.ndarray]
) -> tuple[list[Finding], list[Measure]]:
    """Return a finding where a panel that opens comes straight out none of the ways tried, (3,) unit each."""
    least, where = np.inf, None
    for way in ways:
        blocked, at = _blocked(panel, around, way)
        if blocked < least:
            least, where = blocked, at
        if least <= IN_THE_WAY:
            break
    measures = [Measure("panel-blocked", name, least, "mm3")]
    if least <= IN_THE_WAY:
        return [], measures
    text = "the panel does not come straight out of its opening"
    return [Finding("blocked", "fault", name, least, IN_THE_WAY, "mm3", where, text)], measures


def ways_out(panel: list[BuiltSection], truth: BodyTruth) -> list[np.ndarray]:
    """Return the ways a panel is tried out, (3,) unit each: as its skin looks on the whole, and along the vehicle's
    axes within 60 degrees of that."""
    looks = np.zeros(3)
    for part in panel:
        on_skin = truth.skin.unsigned(part.mesh.triangles.mean(1)) < ON_SURFACE
        looks += part.mesh.area_vectors[on_skin].sum(0)
    looks /= np.linalg.norm(looks)
    axes = [sign * axis for axis in np.eye(3) for sign in (-1.0, 1.0)]
    return [looks, *(axis for axis in axes if axis @ looks > _ASIDE)]


def _blocked(panel: list[BuiltSection], around: list[BuiltSection], way: np.ndarray):
    """Return (the most that is in the way, mm3; where)."""
    worst, where = 0.0, None
    for one in panel:
        for off in _OUT:
            moved = one.solid.moved(off * way)
            box = moved.bounds
            for other in around:
                if boxes_meet(other.mesh.bounds, box):
                    common = moved.common(other.solid)
                    if common.volume_mm3 > worst:
                        worst, where = common.volume_mm3, place(common.bounds.mean(0))
    return worst, where
