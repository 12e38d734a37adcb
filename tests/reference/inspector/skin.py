"""Is all of the skin there, and how thick is what is behind it: by rays through every part."""

from __future__ import annotations

import manifold3d as m3
import numpy as np

from .body import Body
from .build import Build
from .report import Report

# mm; a built face so near the skin is the skin. Rays begin so far outside it and go so deep; two
# sections no further apart touch.
_ON, _BEFORE, _DEEP, _CLOSED = 0.15, 1.0, 400.0, 0.02
# mm, by which a wall may be less than asked; how far off every opening walls are looked at.
_SHORT, _OFF_OPENINGS = 0.15, 12.0


def inspect_skin(build: Build, body: Body, report: Report) -> None:
    """Cast a ray inward through every place on the skin."""
    for place, outward in zip(body.places, body.outward, strict=True):
        _one(build, body, place, -outward, report)


def _one(build: Build, body: Body, place: np.ndarray, way: np.ndarray, report: Report) -> None:
    start, end = place - _BEFORE * way, place + _DEEP * way
    runs, met = [], {}
    for section in build.near(np.minimum(start, end), np.maximum(start, end)):
        found = section.solid.ray_cast(tuple(start), tuple(end))
        # A ray may begin in what lies close over a narrow gap.
        found = found[1:] if found and np.dot(found[0].normal, way) > 0 else found
        depths = [hit.distance * (_BEFORE + _DEEP) - _BEFORE for hit in found]
        runs += zip(depths[::2], depths[1::2], strict=False)
        if depths:
            met[section.id] = round(depths[0], 2)
    first = min((run for run in runs if abs(run[0]) < _ON and run[1] > _ON), default=None)
    if first is None:
        past = body.in_opening(place)
        report.judge(past == 0.0, "coverage", _at(place), f"no skin here, {past:.1f} mm from an opening; met: {met}")
        return
    report.judge(True, "coverage", _at(place), "")
    report.measure("skin off mm", first[0])
    if all(_far(solid, place) for solid, _ in body.openings):
        thick = _through(first, runs)
        report.measure("wall mm", thick)
        # A body may be thinner than a wall itself, as at an edge: then the ray comes out of it.
        ok = thick >= body.wall - _SHORT or not body.holds(place + (thick + 1.0) * way)
        report.judge(ok, "wall", _at(place), f"{thick:.2f} mm thick; met: {met}")


def _through(first: tuple[float, float], runs: list[tuple[float, float]]) -> float:
    """Return how much material a ray is in without a gap, from one section into the next, mm."""
    end = first[1]
    while (further := max((run[1] for run in runs if run[0] < end + _CLOSED), default=end)) > end:
        end = further
    return end - first[0]


def _far(solid, place: np.ndarray) -> bool:
    """Return whether a place is so far off an opening that its faces do not shorten a ray."""
    box = np.array(solid.bounding_box()).reshape(2, 3)
    if (place < box[0] - _OFF_OPENINGS).any() or (place > box[1] + _OFF_OPENINGS).any():
        return True
    speck = m3.Manifold.cube((0.01, 0.01, 0.01), True).translate(tuple(place))
    return solid.min_gap(speck, _OFF_OPENINGS) >= _OFF_OPENINGS - 1e-6


def _at(place: np.ndarray) -> str:
    return f"({place[0]:.0f}, {place[1]:.0f}, {place[2]:.0f})"
