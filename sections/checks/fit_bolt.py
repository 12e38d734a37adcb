"""Bolts: clearance, edge distance, flat washer seats, the screw's length, inserts, and the pitch between them."""

from __future__ import annotations

import numpy as np

from sections.checks.built_parts import BuiltPair, CheckRules
from sections.checks.finding import Finding, Measure, judge_span, place
from sections.checks.fit_findings import judge_fit, judge_least, missing
from sections.checks.pair_faces import PairFaces
from sections.plan.model import PlannedJoint
from sections.settings.fit_values import fit_of
from sections.standards import fastener, insert

_AROUND = np.linspace(0, 2 * np.pi, 24, endpoint=False)
# mm; how far a washer's seat may be off flat; so far inside its edge and off its hole it is looked at.
_FLAT, _IN_WASHER = 0.05, 0.05
# Of an insert's hole, mm: makers' +0.10 and -0.00 (common practice, no source), and what facets take.
_WIDER, _FACETS = 0.10, 0.02
# Threads a nut is gone through by, and that are free beyond a screw in an insert (common practice, no source).
_PITCHES, _FREE_PITCHES = 2.0, 1.0


def check_bolts(pair: BuiltPair, faces: PairFaces, rules: CheckRules) -> tuple[list[Finding], list[Measure]]:
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


def _one(joint: PlannedJoint, pair: BuiltPair, holes: dict, rules: CheckRules):
    bolt, slack = joint.joint, rules.settings.checks.fit
    row = fastener(bolt.size)
    asked = rules.settings.bolts.edge_distance * row.hole(rules.settings.fits.bolt)
    through = [holes[side] for side in ("minus", "plus") if bolt.held == "nut" or side == bolt.screw]
    centre = sum(hole.centre for hole in through) / len(through)
    room = min(hole.room(centre) for hole in through)
    clearance = (row.hole(rules.settings.fits.bolt) - row.diameter) / 2
    yield judge_fit(joint, "bolt-clearance", room - row.diameter / 2, clearance, slack)
    web = min(hole.web(hole.centre) for hole in holes.values())
    text = f"{rules.settings.bolts.edge_distance:g} hole diameters to the free edge asked"
    yield judge_least(joint, "bolt-edge", web, asked - slack, text)
    heights = {}
    for side, sign in (("minus", -1.0), ("plus", 1.0)):
        if bolt.held == "nut" or side == bolt.screw:
            found, read, heights[side] = _seat(joint, pair, side, sign)
            yield found, read
    if bolt.held == "nut":
        yield _through_nut(joint, heights)
    else:
        other = "plus" if bolt.screw == "minus" else "minus"
        yield from _in_insert(joint, pair, other, holes[other], heights[bolt.screw], rules)


def _seat(joint: PlannedJoint, pair: BuiltPair, side: str, sign: float):
    """Read the seat under a washer, from inside the flange out to it: (findings, measures, how thick the flange is)."""
    bolt, part = joint.joint, pair.side(side)
    out, row = sign * np.asarray(joint.frame.z), fastener(joint.joint.size)
    rings = []
    for radius in (row.washer_outer / 2 - _IN_WASHER, (row.washer_outer + bolt.hole) / 4):
        rings.append(_free_way(part.surface, joint, radius, sign * bolt.thickness / 2, out) + bolt.thickness / 2)
    height = np.concatenate(rings)
    off = float(np.abs(height - bolt.thickness).max())
    name, where = f"bolt-seat-{side}", place(joint.frame.origin)
    measures = [Measure(name, joint.id, off, "mm")]
    if off <= _FLAT:
        return [], measures, float(height.max())
    text = f"the washer seat on {part.id} is not flat at {bolt.thickness:g} mm"
    return [Finding(name, "fault", joint.id, off, _FLAT, "mm", where, text)], measures, float(height.max())


def _through_nut(joint: PlannedJoint, heights: dict[str, float]):
    """Return whether the screw is long enough for its nut, with the thickest washers: two threads past it."""
    row = fastener(joint.joint.size)
    past = joint.joint.length - sum(heights.values()) - 2 * row.washer_thickest - row.nut_height
    return judge_least(joint, "bolt-past-nut", past, _PITCHES * row.pitch, "of the screw stands out past its nut")


def _in_insert(joint: PlannedJoint, pair: BuiltPair, side: str, hole, height: float, rules: CheckRules):
    """Yield whether an insert goes in, the screw through all of it, and not to the bottom of its hole."""
    row, screw, part = insert(joint.joint.size), fastener(joint.joint.size), pair.side(side)
    width, slack = 2 * hole.room(hole.centre), 2 * fit_of(rules.settings, "insert")
    span = (row.hole + slack - _FACETS, row.hole + slack + _WIDER)
    text = f"the hole for the insert in {part.id}"
    yield judge_span("bolt-insert-hole", joint.id, width, span, "mm", place(joint.frame.origin), text)
    out = (1.0 if side == "plus" else -1.0) * np.asarray(joint.frame.z)
    deep = float(part.surface.first_hit(np.array([joint.frame.origin]), out[None])[1][0])
    # The thinnest washer is not tabled: it is taken to be as much under its nominal as the thickest is over it.
    thin, thick = 2 * screw.washer_thickness - screw.washer_thickest, screw.washer_thickest
    held = joint.joint.length - height - thick
    least = joint.joint.insert if joint.joint.insert in row.lengths else row.length
    yield judge_least(joint, "bolt-in-insert", held, least, f"of the screw in its insert in {part.id}")
    free = deep - (joint.joint.length - height - thin)
    text = f"between the screw and the end of its hole in {part.id}"
    yield judge_least(joint, "bolt-free-end", free, _FREE_PITCHES * screw.pitch, text)


def _free_way(surface, joint: PlannedJoint, radius: float, z: float, out: np.ndarray) -> np.ndarray:
    """Return how far, (n,) mm, rays on a ring about a joint's axis run before they meet the part."""
    ring = np.column_stack([radius * np.cos(_AROUND), radius * np.sin(_AROUND), np.full(len(_AROUND), z)])
    start = joint.frame.to_world(ring)
    return surface.first_hit(start, np.broadcast_to(out, start.shape))[1]


def check_bolt_pitch(pair: BuiltPair, faces: PairFaces, rules: CheckRules) -> tuple[list[Finding], list[Measure]]:
    """Return a finding when a corner of the common face is further from every bolt hole than the pitch allows; a note
    where bolts are asked for only where there is room.

    Along the flange the next hole is at most a pitch away; a corner lies up to a flange's height aside of it.
    """
    centres = [
        hole.centre
        for joint in pair.joints
        if joint.joint.kind == "bolt" and (hole := faces.holes["minus"].of(joint, faces.frame)) is not None
    ]
    if not faces.stands_alone(rules.settings) or not rules.bolted(pair.given):
        return [], []
    if not centres and rules.bolted(pair.given) == "room":
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
    if rules.bolted(pair.given) == "room":
        text = "no bolt finds room along this part of the seam: bond it there"
        return [Finding("bonded", "note", pair.id, float(gap[worst]), limit, "mm", where, text)], measures
    text = "this part of the flange is further than a bolt pitch from any bolt"
    return [Finding("bolt-pitch", "fault", pair.id, float(gap[worst]), limit, "mm", where, text)], measures
