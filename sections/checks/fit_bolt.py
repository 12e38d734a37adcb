"""Bolts: clearance, edge distance, flat and free washer seats, and the pitch between them."""

from __future__ import annotations

import numpy as np

from sections.checks.built import BuiltPair, Rules
from sections.checks.finding import Finding, Measure, place
from sections.checks.fits import judge_fit, judge_least, missing
from sections.checks.pair_faces import PairFaces
from sections.plan.model import PlannedJoint
from sections.standards import fastener

_AROUND = np.linspace(0, 2 * np.pi, 16, endpoint=False)
# mm; how far a washer's seat may be off flat, and how much of its reach may be wanting.
_FLAT = 0.05
# mm; rays run this much inside a washer's edge, and inside the way of the head, which is cut as a polygon.
_IN_WASHER, _IN_WAY = 0.05, 0.1


def check_bolts(pair: BuiltPair, faces: PairFaces, rules: Rules) -> tuple[list[Finding], list[Measure]]:
    """Return what is wrong with the bolt holes of a pair as built."""
    findings, measures = [], []
    for joint in (j for j in pair.joints if j.joint.kind == "bolt"):
        holes = {side: faces.holes[side].of(joint, faces.frame, pair.joints) for side in ("minus", "plus")}
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
    for side, sign in (("minus", -1.0), ("plus", 1.0)):
        yield _seat(joint, pair, side, sign)


def _seat(joint: PlannedJoint, pair: BuiltPair, side: str, sign: float):
    """Read the seat under a washer: from inside the flange out to it, and on for the reach of nut and bolt."""
    bolt, part = joint.joint, pair.side(side)
    out = sign * np.asarray(joint.frame.z)
    washer = fastener(bolt.size).washer_outer / 2 - _IN_WASHER
    height = _free_way(part.surface, joint, washer, sign * bolt.thickness / 2, out) + bolt.thickness / 2
    off = float(np.abs(height - bolt.thickness).max())
    name, where = f"bolt-seat-{side}", place(joint.frame.origin)
    measures = [Measure(name, joint.id, off, "mm")]
    if not off <= _FLAT:
        text = f"the washer seat on {part.id} is not flat at {bolt.thickness:g} mm"
        return [Finding(name, "fault", joint.id, off, _FLAT, "mm", where, text)], measures
    above = bolt.thickness + 2 * _FLAT
    asked = [(washer, bolt.nut_reach, f"something stands over the washer on {part.id}")]
    if bolt.enters in (side, "both"):
        asked.append((bolt.head_radius - _IN_WAY, bolt.head_reach, f"the bolt cannot be brought in on {part.id}"))
    for radius, reach, text in asked:
        free = float(_free_way(part.surface, joint, radius, sign * above, out).min()) + 2 * _FLAT
        if free < reach - _FLAT:
            return [Finding(name, "fault", joint.id, free, reach, "mm", where, text)], measures
    return [], measures


def _free_way(surface, joint: PlannedJoint, radius: float, z: float, out: np.ndarray) -> np.ndarray:
    """Return how far, (n,) mm, rays on a ring about a joint's axis run before they meet the part."""
    ring = np.column_stack([radius * np.cos(_AROUND), radius * np.sin(_AROUND), np.full(len(_AROUND), z)])
    start = joint.frame.to_world(ring)
    return surface.first_hit(start, np.broadcast_to(out, start.shape))[1]


def _bolted(pair: BuiltPair, rules: Rules) -> bool | str:
    """Return whether bolts are asked for on a pair's seam, or "room"; on one the settings do not name, they are, but
    where it was found they are where there is room."""
    seams = rules.settings.seams
    named = [plane.bolted for plane in seams.planes if plane.id == pair.given]
    return named[0] if named else "room" if seams.mode == "auto" else True


def check_bolt_pitch(pair: BuiltPair, faces: PairFaces, rules: Rules) -> tuple[list[Finding], list[Measure]]:
    """Return a finding when a corner of the common face is further from every bolt hole than the pitch allows; a note
    where bolts are asked for only where there is room.

    Along the flange the next hole is at most a pitch away; a corner lies up to a flange's height aside of it.
    """
    centres = [
        hole.centre
        for joint in pair.joints
        if joint.joint.kind == "bolt" and (hole := faces.holes["minus"].of(joint, faces.frame)) is not None
    ]
    if not faces.stands_alone(rules.settings) or not _bolted(pair, rules):
        return [], []
    if not centres and _bolted(pair, rules) == "room":
        text = "no bolt gets behind this seam: bond it"
        return [Finding("bonded", "note", pair.id, None, None, "", None, text)], []
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
    if _bolted(pair, rules) == "room":
        text = "no bolt finds room along this part of the seam: bond it there"
        return [Finding("bonded", "note", pair.id, float(gap[worst]), limit, "mm", where, text)], measures
    text = "this part of the flange is further than a bolt pitch from any bolt"
    return [Finding("bolt-pitch", "fault", pair.id, float(gap[worst]), limit, "mm", where, text)], measures
