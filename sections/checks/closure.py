"""Do the sections together make the body's wall: every place in it in one section, none in two?"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sections.checks.built_parts import BodyTruth, BuiltSection, CheckRules
from sections.checks.finding import Finding, Measure, place
from sections.numbers.bounds import in_box
from sections.plan.model import Plan
from sections.solids.winding import WindingNumbers

# mm; nearer to a surface than this a point is neither in nor out.
_EDGE = 0.02
# mm; so near an opening, and where its edges are cut blunt, the wall may end.
_OPENING = 0.5
# mm; so far beyond what a joint takes away a point of the wall may lie in none.
_BESIDE = 1.0


@dataclass(frozen=True)
class WallPoints:
    """Places in the body's wall. points : (n, 3). area_mm2 : of skin each stands for."""

    points: np.ndarray


@dataclass(frozen=True)
class Inside:
    """Which wall points one section holds for certain, and which are too near its surface to tell."""

    part: str
    inside: np.ndarray
    unsure: np.ndarray


def wall_points(truth: BodyTruth, rules: CheckRules, seed: int = 41) -> WallPoints:
    """Return one place in the wall below each exact point of the skin, at a random depth."""
    points = truth.exact_points
    wall = rules.settings.wall.thickness
    _, _, outward = truth.skin.nearest_and_depth(points)
    depth = np.random.default_rng(seed).uniform(0.1 * wall, 0.9 * wall, len(points))
    below = points - depth[:, None] * outward
    # Below a thin edge the place may lie outside the body, or nearer to skin on the other side.
    ok = truth.skin.depth(below) > 0.05 * wall
    ok &= truth.off_openings(below, max(_OPENING, rules.settings.printer.two_beads))
    return WallPoints(below[ok])


def read_inside(part: BuiltSection, wall: WallPoints) -> Inside:
    """Return which wall points lie in one built section, by winding numbers: beside a fold too shallow to count the
    nearest face may look the wrong way."""
    near = np.flatnonzero(in_box(wall.points, part.mesh.bounds, beyond=1.0))
    points = wall.points[near]
    off, inside = part.surface.unsigned(points) <= _EDGE, WindingNumbers(part.mesh).hold(points)
    return Inside(part.id, near[inside & ~off], near[off])


def check_closure(readings: list[Inside], wall: WallPoints, plan: Plan) -> tuple[list[Finding], list[Measure]]:
    """Return places of the wall that no section holds, or two, and the share that exactly one holds.

    Joints are left aside: a place in the hole or pocket of a joint may be empty.
    """
    count = np.zeros(len(wall.points), int)
    unsure = np.zeros(len(wall.points), bool)
    for reading in readings:
        count[reading.inside] += 1
        unsure[reading.unsure] = True
    empty = np.flatnonzero((count == 0) & ~unsure)
    empty = empty[~_in_joint(wall.points[empty], plan)]
    twice = np.flatnonzero(count > 1)
    clear = (count == 1).sum()
    share = 100.0 * clear / max(clear + len(empty) + len(twice), 1)
    measures = [
        Measure("wall-once", "body", float(share), "percent"),
        Measure("wall-points", "body", float(len(wall.points)), "points"),
    ]
    findings = []
    for code, which, text in (
        ("wall-gap", empty, "places of the wall lie in no section"),
        ("wall-overlap", twice, "places of the wall lie in two sections"),
    ):
        if len(which):
            where = place(wall.points[which[0]])
            findings.append(Finding(code, "fault", "body", float(len(which)), 0.0, "points", where, text))
    return findings, measures


def _in_joint(points: np.ndarray, plan: Plan) -> np.ndarray:
    """Return which points lie within the reach of a joint's holes."""
    inside = np.zeros(len(points), bool)
    for planned in plan.joints:
        local = planned.frame.to_local(points)
        joint = planned.joint
        reach = joint.cleared + _BESIDE
        wide = joint.half_length
        inside |= (np.abs(local[:, 2]) < reach) & (np.hypot(local[:, 0], local[:, 1]) < wide)
    return inside
