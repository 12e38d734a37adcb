"""What the checks of joints share: a finding for a fit that is off, and for a hole that is not there."""

from __future__ import annotations

from sections.checks.built_parts import BuiltPair
from sections.checks.finding import Finding, Measure, place
from sections.plan.model import PlannedJoint


def judge_fit(joint: PlannedJoint, name: str, measured: float, asked: float, slack: float):
    """Return ([finding] or [], [measure]) for a clearance per side that should be `asked` mm, give or take slack."""
    measures = [Measure(name, joint.id, measured, "mm")]
    if abs(measured - asked) <= slack:
        return [], measures
    text = f"{measured:.3f} mm per side, {asked:.3f} asked"
    where = place(joint.frame.origin)
    limit = asked - slack if measured < asked else asked + slack
    return [Finding(name, "fault", joint.id, measured, limit, "mm", where, text)], measures


def judge_least(joint: PlannedJoint, name: str, measured: float, least: float, text: str):
    """Return ([finding] or [], [measure]) for a length that must be `least` mm or more."""
    measures = [Measure(name, joint.id, measured, "mm")]
    if measured >= least:
        return [], measures
    return [Finding(name, "fault", joint.id, measured, least, "mm", place(joint.frame.origin), text)], measures


def missing(joint: PlannedJoint, pair: BuiltPair, side: str) -> Finding:
    """Return the finding for a hole that the built face does not have."""
    section = pair.side(side).id
    text = f"section {section} has no {joint.joint.kind} hole there"
    return Finding(f"{joint.joint.kind}-missing", "fault", joint.id, None, None, "mm", place(joint.frame.origin), text)
