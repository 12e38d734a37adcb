"""The tables of checks. A new check is one new file and one line here."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from sections.checks.across_openings import check_across
from sections.checks.bed import check_bed
from sections.checks.bed_support import check_standing
from sections.checks.boss import check_bosses
from sections.checks.finding import Finding, Measure
from sections.checks.fit_bolt import check_bolt_pitch, check_bolts
from sections.checks.fit_dowel import check_dowels
from sections.checks.fit_key import check_keys
from sections.checks.hardpoint import check_hardpoints
from sections.checks.interference import check_contact, check_interference
from sections.checks.joint_walls import check_joint_walls
from sections.checks.keep_out import check_keep_outs
from sections.checks.label import check_label
from sections.checks.opening import check_openings
from sections.checks.skin import check_proud
from sections.checks.solid import check_solid
from sections.checks.thin import check_thin
from sections.checks.wall import check_wall

# (section as built, body, rules) -> (findings, measures)
PART_CHECKS = (
    check_solid,
    check_bed,
    check_standing,
    check_wall,
    check_thin,
    check_proud,
    check_label,
    check_bosses,
    check_hardpoints,
    check_keep_outs,
    check_openings,
    check_across,
)

# (pair as built, its faces, rules) -> (findings, measures)
PAIR_CHECKS = (
    check_interference,
    check_contact,
    check_bolts,
    check_bolt_pitch,
    check_dowels,
    check_keys,
    check_joint_walls,
)


def run_checks(checks: tuple[Callable, ...], *given: Any) -> tuple[list[Finding], list[Measure]]:
    """Return what all checks of a table find and measure. given : what each of them is."""
    findings, measures = [], []
    for check in checks:
        found, read = check(*given)
        findings += found
        measures += read
    return findings, measures
