"""Does a pane come straight to its seat from outside, in all sections around its opening at once?"""

from __future__ import annotations

import numpy as np

from sections.checks.built_parts import BodyTruth, BuiltSection
from sections.checks.finding import Finding, Measure, place
from sections.checks.opening import is_near, seat_of
from sections.settings.openings import Glass

# mm; a pane is cut so much smaller than its rebate, all round (common practice, no source). Rays start so far off the
# seat, whose depth is right within so much.
_PANE_OFF, _INTO, _ON_SEAT = 1.0, 0.01, 0.5
# Of the ways tried: how far they lean from the way the skin looks, deg, and how many there are at each.
_LEANS, _ROUND = (0.0, 5.0, 10.0, 15.0, 20.0), 12


def check_pane(
    number: int, parts: list[BuiltSection], glass: Glass, truth: BodyTruth
) -> tuple[list[Finding], list[Measure]]:
    """Return a finding where part of a pane's edge would meet a section on every straight way in.

    number : of the opening among the body's. parts : as built, all that are around it. glass : as asked.
    """
    name, surface = truth.opening_ids[number], truth.openings[number]
    seats = []
    for part in (one for one in parts if is_near(one, surface)):
        seat, depth = seat_of(part, surface, truth)
        # Where a hole or pocket of a seam is deeper, no pane lies.
        under = (np.abs(depth - glass.thickness - glass.bead) < _ON_SEAT) & (surface.depth(seat) > _PANE_OFF)
        if under.any():
            seats.append((part, seat[under]))
    if not seats:
        text = "no seat of it could be found"
        return [Finding("glass-way-in", "unmeasured", name, None, None, "", None, text)], []
    least, where = np.inf, None
    for way in _ways(np.vstack([seat for _, seat in seats]), truth):
        blocked, at = _blocked(seats, way)
        if blocked < least:
            least, where = blocked, at
        if least == 0:
            return [], [Measure("glass-way-in", name, 0.0, "part")]
    text = "of the pane's edge does not come straight to its seat from outside, whatever the way"
    measures = [Measure("glass-way-in", name, least, "part")]
    return [Finding("glass-way-in", "fault", name, least, 0.0, "part", place(where), text)], measures


def _ways(seat: np.ndarray, truth: BodyTruth) -> np.ndarray:
    """Return the ways out that are tried, (n, 3) unit: as the skin over the seat looks on the whole, and leaning."""
    out = truth.skin.nearest_and_depth(seat)[2].mean(0)
    out /= np.linalg.norm(out)
    one = np.cross(out, np.eye(3)[np.abs(out).argmin()])
    one /= np.linalg.norm(one)
    two = np.cross(out, one)
    turns = 2 * np.pi * np.arange(_ROUND) / _ROUND
    ways = [out]
    for lean in np.radians(_LEANS[1:]):
        ways += [np.cos(lean) * out + np.sin(lean) * (np.cos(t) * one + np.sin(t) * two) for t in turns]
    return np.array(ways)


def _blocked(seats: list[tuple[BuiltSection, np.ndarray]], way: np.ndarray) -> tuple[float, np.ndarray | None]:
    """Return (the part of all places whose way out is blocked by their own section; one of them)."""
    count, total, where = 0, 0, None
    for part, seat in seats:
        hit = part.surface.first_hit(seat + _INTO * way, np.broadcast_to(way, seat.shape))[1]
        met = np.flatnonzero(np.isfinite(hit))
        count, total = count + len(met), total + len(seat)
        if len(met) and where is None:
            where = seat[met[0]]
    return count / max(total, 1), where
