"""Dowels: one round hole and one slot a pair, clearance per side, engagement in both sections."""

from __future__ import annotations

import numpy as np

from sections.checks.built_parts import BuiltPair, CheckRules
from sections.checks.finding import Finding, Measure
from sections.checks.fit_findings import judge_fit, judge_least, missing
from sections.checks.pair_faces import PairFaces
from sections.checks.seam_face import FaceHole
from sections.plan.model import PlannedJoint
from sections.solids.planar import longest_side

# A pin is held by at least its own diameter in each section (common practice, no source).
_ENGAGED_PER_DIAMETER = 1.0
# Of the longest side of what two sections share, its dowels are at least so far apart (common practice, no source).
_SPACED = 0.3


def check_dowels(pair: BuiltPair, faces: PairFaces, rules: CheckRules) -> tuple[list[Finding], list[Measure]]:
    """Return what is wrong with the dowel holes of a pair as built."""
    findings, measures = [], []
    dowels = [joint for joint in pair.joints if joint.joint.kind == "dowel"]
    built, centres = {"round": 0, "slot": 0}, []
    for joint in dowels:
        holes = {side: faces.holes[side].of(joint, faces.frame, pair.joints) for side in ("minus", "plus")}
        lost = [missing(joint, pair, side) for side, hole in holes.items() if hole is None]
        findings += lost
        if lost:
            continue
        built["slot" if _is_slot(holes["plus"]) else "round"] += 1
        centres.append(holes["minus"].centre)
        for found, read in _one(joint, pair, holes, rules):
            findings += found
            measures += read
    if built != {"round": 1, "slot": 1} and (dowels or faces.stands_alone(rules.settings)):
        text = f"one round hole and one slot locate a pair; this one has {built['round']} and {built['slot']}"
        measured = float(built["round"] + built["slot"])
        findings.append(Finding("dowel-count", "fault", pair.id, measured, 2.0, "dowels", None, text))
    if len(centres) == 2:
        found, read = _apart(pair, float(np.linalg.norm(centres[1] - centres[0])), longest_side(faces.shared))
        findings, measures = findings + found, measures + read
    return findings, measures


def _apart(pair: BuiltPair, spacing: float, long: float) -> tuple[list[Finding], list[Measure]]:
    """Return a note where two dowels stand so near one another that their play turns one section on the other."""
    measures = [Measure("dowel-spacing", pair.id, spacing, "mm")]
    if spacing >= _SPACED * long:
        return [], measures
    text = f"its two dowels stand near one another on a face {long:.0f} mm long: their play turns it the more"
    return [Finding("dowels-near", "note", pair.id, spacing, _SPACED * long, "mm", None, text)], measures


def _is_slot(hole: FaceHole) -> bool:
    long, wide = hole.sides
    return long > 1.1 * wide


def _one(joint: PlannedJoint, pair: BuiltPair, holes: dict[str, FaceHole], rules: CheckRules):
    dowel, slack = joint.joint, rules.settings.checks.fit
    radius = dowel.diameter / 2
    # The pin sits in the middle of the minus hole; a slot lets it be anywhere along, a round hole shares.
    centre = holes["minus"].centre if dowel.slot else (holes["minus"].centre + holes["plus"].centre) / 2
    room = min(holes["minus"].room(centre), holes["plus"].room(centre))
    yield judge_fit(joint, "dowel-clearance", room - radius, dowel.fit, slack)
    if dowel.slot:
        long, _ = holes["plus"].sides
        yield judge_fit(joint, "slot-travel", long / 2 - radius - dowel.fit, dowel.travel, 2 * slack)
    for side, sign in (("minus", -1.0), ("plus", 1.0)):
        depth = _depth(joint, pair, side, sign)
        text = f"the dowel touches the end of its hole in {pair.side(side).id}"
        yield judge_least(joint, f"dowel-depth-{side}", depth, dowel.length / 2 + dowel.end - slack, text)
        held = min(depth, dowel.length / 2)
        text = f"the dowel is held by less than its diameter in {pair.side(side).id}"
        yield judge_least(joint, f"dowel-engaged-{side}", held, _ENGAGED_PER_DIAMETER * dowel.diameter, text)


def _depth(joint: PlannedJoint, pair: BuiltPair, side: str, sign: float) -> float:
    """Return how deep the hole is, mm, along its axis from the seam."""
    direction = sign * np.asarray(joint.frame.z)
    hit = pair.side(side).surface.first_hit(np.array([joint.frame.origin]), direction[None])[1]
    return float(hit[0])
