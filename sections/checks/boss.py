"""Bosses: hole, depth, plastic around it and to the skin, as built."""

from __future__ import annotations

import numpy as np

from sections.checks.built_parts import BodyTruth, BuiltSection, CheckRules
from sections.checks.finding import Finding, Measure, judge_span, place
from sections.plan.model import PlannedBoss

_AROUND = np.linspace(0, 2 * np.pi, 24, endpoint=False)


def check_bosses(part: BuiltSection, truth: BodyTruth, rules: CheckRules) -> tuple[list[Finding], list[Measure]]:
    """Return what is wrong with the bosses of a section, read by rays from the axis of each."""
    findings, measures = [], []
    for boss in part.bosses:
        for name, value, span, text in _readings(boss, part, truth, rules):
            where = place(boss.frame.origin)
            found, read = judge_span(f"boss-{name}", boss.id, value, span, "mm", where, text)
            findings, measures = findings + found, measures + read
    return findings, measures


def _readings(planned: PlannedBoss, part: BuiltSection, truth: BodyTruth, rules: CheckRules):
    """Yield (name, measured, (least, most), text)."""
    boss, frame, slack = planned.boss, planned.frame, rules.settings.checks.fit
    z = -np.asarray(frame.z)
    depth = float(part.surface.first_hit(np.array([frame.origin]), z[None])[1][0])
    yield "depth", depth, (boss.depth - slack, boss.depth + slack), "depth of the hole"
    middle = np.tile([0.0, 0.0, -boss.hole_at], (len(_AROUND), 1))
    out = np.column_stack([np.cos(_AROUND), np.sin(_AROUND), 0 * _AROUND])
    start, direction = frame.to_world(middle), out @ frame.rotation.T
    radius = part.surface.first_hit(start, direction)[1]
    yield "hole", 2 * float(radius.min()), (boss.hole - 2 * slack, boss.hole + 2 * slack), "diameter of the hole"
    # From just outside the hole's or slot's wall on, to the air around the standoff, a little below the mouth.
    ends = boss.travel * np.sign(np.round(out[:, :1], 9)) * [1.0, 0.0, 0.0]
    at = frame.to_world(ends + out * (boss.hole / 2 + 0.05) + [0.0, 0.0, -0.5])
    plastic = float(part.surface.first_hit(at, direction)[1].min()) + 0.05
    asked = (boss.outer - boss.hole) / 2
    yield "wall", plastic, (asked - 2 * slack, np.inf), "plastic around the hole"
    # All over its bottom and up its side: where the skin leans, a rim of it is nearest.
    rings = [ends + part * out * boss.hole / 2 for part in (0.0, 0.5, 1.0)]
    deep = np.vstack([ring - [0.0, 0.0, down * depth] for ring in rings for down in (1.0, 0.75, 0.5)])
    left = float(truth.skin.depth(frame.to_world(deep)).min())
    least = max(rules.settings.wall.thickness / 2, rules.settings.flange.web)
    yield "skin", left, (least - slack, np.inf), "plastic between hole and skin"
