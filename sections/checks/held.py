"""Does a joint hold every section to the rest of its body or panel, or does it hang on nothing?"""

from __future__ import annotations

import numpy as np

from sections.checks.finding import Finding, Measure, place
from sections.numbers.mesh import connected
from sections.plan.model import Plan


def check_held(middles: dict[str, np.ndarray], plan: Plan) -> tuple[list[Finding], list[Measure]]:
    """Return the sections that no chain of joints ties to the largest group of their body or panel.

    middles : (3,) mm, of each built section, by id. What a joint is like as built is for other checks.
    """
    findings, loose = [], 0
    for panel in sorted({section.panel for section in plan.sections}):
        ids = [section.id for section in plan.sections if section.panel == panel and section.id in middles]
        number = {name: n for n, name in enumerate(ids)}
        ends = [(joint.minus, joint.plus) for joint in plan.joints if joint.minus in number and joint.plus in number]
        links = np.array([(number[minus], number[plus]) for minus, plus in ends], np.int64).reshape(-1, 2)
        group = connected(links, len(ids)) if ids else np.empty(0, np.int64)
        largest = np.bincount(group).argmax() if ids else 0
        for name, own in zip(ids, group, strict=True):
            if own != largest:
                loose += 1
                count = float((group == own).sum())
                others = f", and {count - 1:.0f} more with it," if count > 1 else ""
                text = f"no joint ties it{others} to the rest of the body"
                findings.append(
                    Finding("held-by-nothing", "fault", name, 0.0, 1.0, "joints", place(middles[name]), text)
                )
    return findings, [Measure("held-by-nothing", "body", float(loose), "sections")]
