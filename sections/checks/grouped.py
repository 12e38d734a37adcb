"""Findings as they are said: those of one cause together, left and right as one, the worst first, the rest counted;
before all others those that may be why others are there."""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterable
from dataclasses import replace

import numpy as np

from sections.checks.codes import known_codes
from sections.checks.finding import Finding
from sections.numbers.words import figures

# So many of one cause are said; the rest stand in findings.json.
_SAID = 3
# What differs between findings of one cause: names of sections and seams, numbers.
_VARIES = re.compile(r"\b[A-Z][0-9][A-Z0-9]*(\.[A-Z])?\b|\b[a-z][0-9]+[RL]?\b|-?[0-9]+(\.[0-9]+)?")
_SIDE = re.compile(r"([A-Z][0-9][A-Z0-9]*|\b[a-z][0-9]+)([RL])\b")


def grouped(findings: Iterable[Finding]) -> list[str]:
    """Return lines that say all findings but the notes, and after each cause what to do."""
    causes: dict[tuple[str, str], list[Finding]] = defaultdict(list)
    for finding in findings:
        if finding.level != "note":
            causes[finding.code, _VARIES.sub("#", finding.text)].append(finding)
    lines = []
    there = {code for code, _ in causes}

    def late(cause: tuple[tuple[str, str], list[Finding]]) -> tuple[bool, float]:
        return there.isdisjoint(known_codes()[cause[0][0]].explains), -max(map(_over, cause[1]))

    for (code, _), found in sorted(causes.items(), key=late):
        both = sorted(_sides_as_one(found), key=lambda one: -_over(one[0]))
        lines += [str(one) for one, _ in both[:_SAID]]
        rest = sum(sides for _, sides in both[_SAID:])
        if rest:
            lines.append(f"{code}  {rest} more of this cause (findings.json)")
        lines.append(f"    fix: {known_codes()[code].fix}")
    return lines


def noted(findings: Iterable[Finding]) -> list[str]:
    """Return a line for each kind of note: how many, and the one that measures most."""
    kinds: dict[str, list[Finding]] = defaultdict(list)
    for finding in findings:
        if finding.level == "note":
            kinds[finding.code].append(finding)
    lines = []
    for code, found in kinds.items():
        most = max(found, key=lambda one: -np.inf if one.measured is None else one.measured)
        more = f", {len(found) - 1} more" if len(found) > 1 else ""
        read = "" if most.measured is None else f" {figures(most.measured)}{f' {most.unit}' if most.unit else ''}"
        lines.append(f"note: {code}  {most.part}{read}{more}: {most.text}")
    return lines


def _over(finding: Finding) -> float:
    """Return how far a finding is past its limit, as a part of it; infinite where nothing was measured."""
    if finding.measured is None or finding.limit is None:
        return float("inf")
    return abs(finding.measured - finding.limit) / max(abs(finding.limit), 1e-9)


def _sides_as_one(found: list[Finding]) -> list[tuple[Finding, int]]:
    """Return (finding, how many it stands for), those of a section or pair and of its mirror image as one, by the worse
    of the two."""
    by_part = {finding.part: finding for finding in found}
    made = []
    for finding in found:
        twin = by_part.get(_SIDE.sub(lambda name: name[1] + {"R": "L", "L": "R"}[name[2]], finding.part))
        if twin is None or twin is finding or len(by_part) < len(found):
            made.append((finding, 1))
        elif (_over(finding), finding.part) > (_over(twin), twin.part):
            made.append((replace(finding, part=f"{finding.part} and {twin.part}"), 2))
    return made
