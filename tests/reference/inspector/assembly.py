"""How sections lie together and come together: overlap, contact, and every step along its way."""

from __future__ import annotations

from itertools import combinations

import numpy as np

from .build import Build, Frame, Section
from .report import Report

# mm; two that overlap by less on average are rounding of their files; mm3, less is a touch.
_DEEP, _FRAGMENT = 0.01, 0.05
# mm; what touches overlaps once it is moved so far; mm2, so much must touch to be a contact.
_NUDGE, _CONTACT = 0.05, 20.0
# mm; where a section is looked at on its way.
_WAY = (0.5, 1.0, 2.0, 4.0, 8.0, 15.0, 30.0, 60.0, 120.0, 250.0)


def inspect_overlaps(build: Build, report: Report) -> None:
    """Look for two sections that take up the same room, and for contacts that nothing joins or names."""
    joined = {frozenset((pair["minus"], pair["plus"])) for pair in build.plan["pairs"]}
    named = {finding["part"] for finding in build.findings} | {row["where"] for row in build.plan["shortages"]}
    for one, other in combinations(build.sections.values(), 2):
        if (one.box[1] < other.box[0] - _NUDGE).any() or (one.box[0] > other.box[1] + _NUDGE).any():
            continue
        common = one.solid ^ other.solid
        volume, area = common.volume(), common.surface_area()
        ok = volume < _FRAGMENT or 2 * volume / area < _DEEP
        report.judge(ok, "overlap", f"{one.id}+{other.id}", f"{volume:.2f} mm3 in common")
        if frozenset((one.id, other.id)) not in joined:
            touch = max((_touch(one, other, build.planes[seam]) for seam in {*one.seams} & {*other.seams}), default=0.0)
            reported = any(f"{a}+{b}" in name for name in named for a, b in ((one.id, other.id), (other.id, one.id)))
            ok = touch < _CONTACT or reported
            report.judge(ok, "contact", f"{one.id}+{other.id}", f"touch over {touch:.0f} mm2, joined by nothing")


def _touch(one: Section, other: Section, normal: np.ndarray) -> float:
    """Return over how much area, mm2, two sections touch across a seam."""
    nudged = [(one.solid.translate(tuple(sign * _NUDGE * normal)) ^ other.solid).volume() for sign in (-1, 1)]
    return max(nudged) / _NUDGE


def inspect_steps(build: Build, report: Report) -> None:
    """Bring the sections of every step on along its way, pins and keys in their holes."""
    for number, step in enumerate(build.plan["assembly"]):
        name = f"step {number + 1}, seam {step['seam']}"
        way = np.array(step["direction"], float)
        moved = [build.sections[one] for one in step["moved"]]
        onto = [build.sections[one] for one in step["onto"]]
        loose = _between(build, {*step["moved"]}, {*step["onto"]})
        worst, by = 0.0, ""
        for off in _WAY:
            for one in moved:
                box = one.box - off * way
                solid = None
                for other_id, other, other_box in [*((o.id, o.solid, o.box) for o in onto), *loose]:
                    if (box[0] < other_box[1]).all() and (box[1] > other_box[0]).all():
                        solid = one.solid.translate(tuple(-off * way)) if solid is None else solid
                        worst, by = max((worst, by), ((solid ^ other).volume(), f"{one.id} and {other_id} at {off}"))
        report.judge(worst <= _FRAGMENT, "step", name, f"{worst:.2f} mm3 in the way of {by}")
        touch = 0.0
        for one in moved:
            ahead = one.solid.translate(tuple(_NUDGE * way))
            for other in onto:
                if (one.box[0] < other.box[1] + 1).all() and (one.box[1] > other.box[0] - 1).all():
                    touch = max(touch, (ahead ^ other.solid).volume() / _NUDGE)
        report.judge(touch > _CONTACT, "step-joins", name, f"touches over {touch:.0f} mm2: it joins nothing")


def _between(build: Build, moved: set[str], onto: set[str]) -> list:
    """Return pins and keys between two groups, in place: (id, solid, box)."""
    found = []
    for joint in build.plan["joints"]:
        kind, sides = joint["joint"]["kind"], {joint["minus"], joint["plus"]}
        if kind in build.loose and sides & moved and sides & onto:
            solid = Frame.of(joint["frame"]).place(build.loose[kind])
            found.append((joint["id"], solid, np.array(solid.bounding_box()).reshape(2, 3)))
    return found
