"""Can hands bring each thing to its place: screws, washers, nuts and inserts, pins, keys and tools, on the parts as
built, with the neighbours there that are joined by then?

The check of a bolt once looked along the way its own tool had cut, 6.5 mm wide: both were wrong by one number, and
not one of 609 bolts could take its washers. A seat was free, and 0.33 mm of flange lay on the way to it: all of the
way is looked at, with the standard's own hardware.
"""

from __future__ import annotations

from collections import defaultdict

from sections.checks.built_parts import BuiltSection
from sections.checks.finding import Finding, Measure, place
from sections.checks.hardware import Brought, brought_to_boss, brought_to_joint
from sections.numbers.bounds import boxes_meet
from sections.numbers.tolerances import IN_THE_WAY
from sections.plan.model import Plan


def present_at(plan: Plan) -> dict[str, frozenset[str]]:
    """Return for every pair, by its id, the sections that are put together once it is joined: both at least."""
    joined = {section.id: frozenset([section.id]) for section in plan.sections}
    present = {pair.id: joined[pair.minus] | joined[pair.plus] for pair in plan.pairs}
    open_ = defaultdict(list)
    for pair in plan.pairs:
        open_[pair.seam].append(pair)
    for step in plan.assembly:
        whole = frozenset(step.moved) | frozenset(step.onto)
        left = []
        for pair in open_[step.seam]:
            if whole.issuperset((pair.minus, pair.plus)):
                present[pair.id] = whole
            else:
                left.append(pair)
        open_[step.seam] = left
    return present


def all_brought(plan: Plan) -> list[Brought]:
    """Return everything that is brought to the joints and bosses of a plan."""
    made = [one for joint in plan.joints for one in brought_to_joint(joint)]
    return made + [one for boss in plan.bosses for one in brought_to_boss(boss)]


def near(brought: list[Brought], section_id: str, bounds, present: dict[str, frozenset[str]]) -> list[Brought]:
    """Return what passes by a section, by its (2, 3) bounds, mm, while it is there. present : by pair."""
    found = []
    for one in brought:
        there = one.alone == section_id if one.alone else section_id in present[one.pair]
        if there and boxes_meet(one.bounds, bounds):
            found.append(one)
    return found


def check_brought(part: BuiltSection, brought: list[Brought], own: set[str]) -> tuple[list[Finding], list[Measure]]:
    """Return what a section is in the way of, and how much of it, mm3. own : the joints it has a part in; what passes
    by is reported only where it is blocked."""
    if not brought:
        return [], []
    findings, measures = [], []
    solids = [one.solid() for one in brought]
    blocked = _in_the_way(part, solids)
    for one, volume in zip(brought, blocked, strict=True):
        if one.part in own:
            measures.append(Measure("brought-blocked", f"{one.part}:{one.what}", volume, "mm3"))
        if volume > IN_THE_WAY:
            text = f"the {one.what} cannot be brought to its place: {part.id} is in its way"
            where = place(one.frame.origin)
            findings.append(Finding("blocked", "fault", one.part, volume, IN_THE_WAY, "mm3", where, text))
    return findings, measures


def _in_the_way(part: BuiltSection, solids: list) -> list[float]:
    """Return how much of a section, mm3, each solid would pass through; all are tried at once first."""
    first, *others = solids
    if max(part.solid.common(first.unite(others)).volume_mm3, 0.0) <= IN_THE_WAY:
        return [0.0] * len(solids)
    return [max(part.solid.common(solid).volume_mm3, 0.0) for solid in solids]
