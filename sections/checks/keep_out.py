"""Does every section, with its flanges, bosses and bolts, keep off what it must?"""

from __future__ import annotations

import numpy as np

from sections.checks.built_parts import BodyTruth, BuiltSection, CheckRules
from sections.checks.finding import Finding, Measure, place
from sections.donor.kept_off import KeptOff, Thing
from sections.numbers.bounds import boxes_meet
from sections.numbers.sampling import sample_surface
from sections.plan.model import Plan, PlannedJoint
from sections.settings import Settings
from sections.settings.joint_line import bolt_reach
from sections.solids.print_solid import PrintSolid
from sections.standards import fastener

# mm; how far past the gap asked distances are still reported.
_TOLD = 40.0
# Places looked at on what two have in common; mm, what is less deep is reported as so deep.
_PLACES, _SEED, _WITHIN = 4000, 13, 1e-3


def check_keep_outs(part: BuiltSection, truth: BodyTruth, rules: CheckRules) -> tuple[list[Finding], list[Measure]]:
    """Return a finding for everything a section comes nearer to than asked; how far into it, where it does reach in."""
    return approaches(part, truth.keep_outs)


def check_bolts_keep_off(plan: Plan, keep_outs: tuple[KeptOff, ...], settings: Settings):
    """Return a finding for every bolt, its head, washers and nut, that comes nearer to something than asked."""
    findings, measures = [], []
    for joint in plan.joints if keep_outs else ():
        if joint.joint.is_turned:
            found, read = approaches(Thing(joint.id, bolt_solid(joint, settings).mesh()), keep_outs)
            findings += found
            measures += read
    return findings, measures


def approaches(part: Thing | BuiltSection, keep_outs: tuple[KeptOff, ...]) -> tuple[list[Finding], list[Measure]]:
    """Return a finding for everything a part comes nearer to than asked, and how near it is to all around."""
    findings, measures = [], []
    for kept in keep_outs:
        found = _approach(part, kept)
        if found is None:
            continue
        gap, where = found
        measures.append(Measure("keep-out-gap", f"{part.id}:{kept.id}", gap, "mm"))
        if gap < kept.gap:
            findings.append(_finding(part.id, kept, gap, where))
    return findings, measures


def _finding(part: str, kept: KeptOff, gap: float, where: np.ndarray) -> Finding:
    text = f"{kept.id} is nearer than asked" if gap >= 0 else f"reaches {-gap:.1f} mm into {kept.id}"
    return Finding("keep-out", "fault", part, gap, kept.gap, "mm", place(where), text)


def _approach(part: Thing | BuiltSection, kept: KeptOff) -> tuple[float, np.ndarray] | None:
    """Return (gap, mm, minus the depth where they overlap; where), or None for what is further off than is reported."""
    within = kept.gap + _TOLD
    mesh = part.mesh
    if not boxes_meet(mesh.bounds, kept.mesh.bounds, within):
        return None
    gap = part.solid.gap_to(kept.solid, within)
    if gap >= within:
        return None
    if gap > 0:
        own, theirs = kept.surface.unsigned(mesh.vertices), part.surface.unsigned(kept.mesh.vertices)
        at = mesh.vertices[own.argmin()] if own.min() <= theirs.min() else kept.mesh.vertices[theirs.argmin()]
        return gap, at
    common = part.solid.common(kept.solid)
    if common.is_empty:
        return 0.0, mesh.vertices[kept.surface.unsigned(mesh.vertices).argmin()]
    inside = common.mesh()
    places = np.vstack([inside.vertices, sample_surface(inside, _PLACES, _SEED)[0]])
    depth = kept.surface.unsigned(places)
    if depth.max() < _WITHIN:
        # All of it lies inside the section.
        depth = part.surface.unsigned(places)
    return -max(float(depth.max()), _WITHIN), places[depth.argmax()]


def bolt_solid(planned: PlannedJoint, settings: Settings) -> PrintSolid:
    """Return a bolt with all on it, a little too large: as wide as its washer, from its head's top to past its nut."""
    half = bolt_reach(settings)
    return PrintSolid.rod(fastener(settings.bolts.size).washer_outer / 2, -half, half).placed(planned.frame)
