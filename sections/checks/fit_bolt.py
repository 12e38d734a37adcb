"""Bolts: clearance, edge distance, flat and free washer seats, and the pitch between them."""

from __future__ import annotations

import numpy as np

from sections.checks.built import BuiltPair, Rules
from sections.checks.finding import Finding, Measure, place
from sections.checks.fits import judge_fit, judge_least, missing
from sections.checks.pair_faces import PairFaces
from sections.checks.seam_face import hole_at
from sections.plan.model import PlannedJoint
from sections.standards import fastener

_AROUND = np.linspace(0, 2 * np.pi, 16, endpoint=False)
# mm; how far a washer's seat may be off flat, and how much of its reach may be wanting.
_FLAT = 0.05


def check_bolts(pair: BuiltPair, faces: PairFaces, rules: Rules) -> tuple[list[Finding], list[Measure]]:
    """Return what is wrong with the bolt holes of a pair as built."""
    findings, measures = [], []
    for joint in (j for j in pair.joints if j.joint.kind == "bolt"):
        holes = {side: hole_at(faces.face(side), joint, faces.frame, pair.joints) for side in ("minus", "plus")}
        lost = [missing(joint, pair, side) for side, hole in holes.items() if hole is None]
        findings += lost
        if lost:
            continue
        for found, read in _one(joint, pair, holes, rules):
            findings += found
            measures += read
    return findings, measures


def _one(joint: PlannedJoint, pair: BuiltPair, holes: dict, rules: Rules):
    bolt, slack = joint.joint, rules.settings.checks.fit
    screw = fastener(bolt.size).diameter
    centre = (holes["minus"].centre + holes["plus"].centre) / 2
    room = min(hole.room(centre) for hole in holes.values())
    yield judge_fit(joint, "bolt-clearance", room - screw / 2, (bolt.hole - screw) / 2, slack)
    land = min(hole.land(hole.centre) for hole in holes.values())
    text = f"{rules.settings.bolts.edge:g} hole diameters to the free edge asked"
    yield judge_least(joint, "bolt-edge", land, bolt.edge - slack, text)
    web = min(hole.web for hole in holes.values())
    if np.isfinite(web):
        text = "too little plastic to the hole beside it"
        yield judge_least(joint, "bolt-web", web, rules.settings.flange.land - slack, text)
    for side, sign in (("minus", -1.0), ("plus", 1.0)):
        yield _seat(joint, pair, side, sign)


def _seat(joint: PlannedJoint, pair: BuiltPair, side: str, sign: float):
    """Read the seat under a washer: from inside the flange out to it, and on for the nut's reach."""
    bolt = joint.joint
    washer = fastener(bolt.size).washer_outer / 2
    ring = np.column_stack([np.cos(_AROUND), np.sin(_AROUND)]) * (washer - 0.05)
    local = np.column_stack([ring, np.full(len(ring), sign * bolt.thickness / 2)])
    start = joint.frame.to_world(local)
    direction = np.broadcast_to(sign * np.asarray(joint.frame.z), start.shape)
    surface = pair.side(side).surface
    height = surface.first_hit(start, direction)[1] + bolt.thickness / 2
    off = float(np.abs(height - bolt.thickness).max())
    name = f"bolt-seat-{side}"
    measures = [Measure(name, joint.id, off, "mm")]
    where = place(joint.frame.origin)
    if not off <= _FLAT:
        text = f"the washer seat on {pair.side(side).id} is not flat at {bolt.thickness:g} mm"
        return [Finding(name, "fault", joint.id, off, _FLAT, "mm", where, text)], measures
    above = start + (bolt.thickness / 2 + 2 * _FLAT) * direction
    free = float(surface.first_hit(above, direction)[1].min()) + 2 * _FLAT
    if free < bolt.nut_reach - _FLAT:
        text = f"something stands over the washer on {pair.side(side).id}"
        return [Finding(name, "fault", joint.id, free, bolt.nut_reach, "mm", where, text)], measures
    return [], measures


def check_bolt_pitch(pair: BuiltPair, faces: PairFaces, rules: Rules) -> tuple[list[Finding], list[Measure]]:
    """Return a finding when a corner of the common face is further from every bolt hole than the pitch allows.

    Along the flange the next hole is at most a pitch away; a corner lies up to a flange's height aside of it.
    """
    centres = [
        hole.centre
        for joint in pair.joints
        if joint.joint.kind == "bolt" and (hole := hole_at(faces.minus, joint, faces.frame)) is not None
    ]
    if faces.shared.is_empty:
        return [], []
    if not centres:
        text = "no bolt draws these two sections together"
        return [Finding("bolt-none", "fault", pair.id, 0.0, 1.0, "bolts", None, text)], []
    corners = np.vstack([np.array(part.exterior.coords) for part in faces.shared.geoms])
    gap = np.linalg.norm(corners[:, None] - np.array(centres)[None], axis=2).min(1)
    worst = int(gap.argmax())
    limit = float(np.hypot(rules.settings.bolts.pitch, rules.settings.flange.height))
    measures = [Measure("bolt-reach", pair.id, float(gap[worst]), "mm")]
    if gap[worst] <= limit:
        return [], measures
    where = place(faces.frame.to_world(np.array([[*corners[worst], 0.0]]))[0])
    text = "this part of the flange is further than a bolt pitch from any bolt"
    return [Finding("bolt-pitch", "fault", pair.id, float(gap[worst]), limit, "mm", where, text)], measures
