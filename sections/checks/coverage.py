"""Do the sections cover the body as it came, before any repair?"""

from __future__ import annotations

import numpy as np

from sections.checks.built_parts import BodyTruth, BuiltSection, CheckRules
from sections.checks.finding import Finding, Measure, place
from sections.checks.skin import SkinReading, distances_to
from sections.numbers.gathering import gatherings
from sections.numbers.words import figures, place_words

# Places left out that lie within so many times their own spacing of one another are one; fewer than so many are chance.
_TOGETHER, _FEW = 2.5, 5
_SHOWN = 4


def read_coverage(part: BuiltSection, truth: BodyTruth) -> SkinReading | None:
    """Return the distance of every place near a section, on the body as it came, to the section's surface; None where
    the body was taken as it came, so that its skin was measured already."""
    given = truth.given
    return None if given is None else distances_to(part, given.points, given.allowed)


def check_coverage(
    readings: list[SkinReading], truth: BodyTruth, rules: CheckRules
) -> tuple[list[Finding], list[Measure]]:
    """Return what part of the body as it came lies on the sections, and a finding where too little does.

    readings : of the body as it came, or of its exact points where it was taken as it came.
    """
    given = truth.given
    points, allowed = (truth.exact_points, 0.0) if given is None else (given.points, given.allowed)
    if not len(points):
        text = "nothing of the body as it came is seen from outside it"
        return [Finding("body-lost", "unmeasured", "body", None, None, "percent", None, text)], []
    off = np.full(len(points), np.inf)
    for reading in readings:
        off[reading.index] = np.minimum(off[reading.index], reading.distance)
    left = np.flatnonzero(off > rules.settings.mesh.deviation + allowed)
    share = 100.0 * (1 - len(left) / len(points))
    measures = [Measure("body-covered", "body", share, "percent")]
    # Of a body that was taken as it came each place is a finding of its skin.
    if given is None or not len(left):
        return [], measures
    lost, each, least = points[left], given.area_mm2, rules.settings.checks.covered
    measures.append(Measure("body-left-out", "body", len(lost) * each, "mm2"))
    places = _places(lost, each)
    text = _words(lost, places, truth, each)
    if share < least:
        return [Finding("body-lost", "fault", "body", share, least, "percent", None, text)], measures
    notes = [Finding("body-left-out", "note", "body", None, None, "", place(lost[one[0]]), text) for one in places[:1]]
    return notes, measures


def _places(points: np.ndarray, each: float) -> list[np.ndarray]:
    """Return which points make up each place, the largest first. each : mm2 of surface that a point stands for."""
    found = [one for one in gatherings(points, _TOGETHER * each**0.5) if len(one) >= _FEW]
    return sorted(found, key=len, reverse=True)


def _words(points: np.ndarray, places: list[np.ndarray], truth: BodyTruth, each: float) -> str:
    """Say where the body as it came lies on no section, and on which side of the skin that was built."""
    depth = truth.skin.depth(points)
    shown = []
    for one in places[:_SHOWN]:
        deepest = one[np.abs(depth[one]).argmax()]
        side = "inside" if depth[deepest] > 0 else "outside"
        area, far = figures(len(one) * each), f"{abs(depth[deepest]):.3g} mm {side} the built skin"
        shown.append(f"{area} mm2 about {place_words(points[one].mean(0))}, up to {far}")
    more = " ..." if len(places) > _SHOWN else ""
    listed = f": {'; '.join(shown)}{more}" if shown else ", scattered"
    return f"{figures(len(points) * each)} mm2 of the body as it came lie on no section{listed}"
