"""Found seams that go with the dimensions of the file.

What the file and the body have on either side of a seam moves as a dimension does: the seam keeps its share of the way
between the two. Slices then grow alike, where a seam at a fixed distance from one of them would leave all to one slice.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import product

import numpy as np

from sections.settings import Settings
from sections.settings.joints import SeamPlane
from sections.settings.rules_seams import unit_normal
from sections.settings.set_off_seams import reach_along

# mm; nearer than that are one place. Normals this alike, by their difference, are one.
_SAME, _ALIKE = 1e-6, 1e-6
# mm; what a dimension moves a seam by less, changed by a twentieth or as it was tried, is not written.
_WORTH, _CHANGED = 0.05, 0.05


@dataclass(frozen=True)
class FileAt:
    """The file at some dimensions, and the bounds, (2, 3) mm, of its body."""

    settings: Settings
    bounds: np.ndarray


@dataclass(frozen=True)
class Moved:
    """The file with one dimension changed. name, value : of it as an expression has it, in mm or as a plain number; an
    angle by its sine or cosine. by : how much it is more. then : what it came to."""

    name: str
    value: float
    by: float
    then: FileAt


def seam_place(seam: SeamPlane, now: FileAt, moved: list[Moved], digits: int) -> str:
    """Return where a seam stands along its normal as a parameter file has it: a number of mm, or an expression in which
    it goes with the dimensions. now : the file as it stands. digits : kept of a millimetre."""
    text = f"{round(seam.at, digits):g}"
    terms = [(one, _moves_by(seam, now, one.then) / one.by) for one in moved]
    words = [
        f" {'-' if rate < 0 else '+'} {_times(abs(rate))}({one.name} - {one.value:.10g})"
        for one, rate in terms
        if abs(rate) * max(_CHANGED * abs(one.value), abs(one.by)) > _WORTH
    ]
    return f'"{text}{"".join(words)}"' if words else text


def _times(rate: float) -> str:
    return "" if f"{rate:.4g}" == "1" else f"{rate:.4g} * "


def _moves_by(seam: SeamPlane, now: FileAt, moved: FileAt) -> float:
    """Return how far, mm along its normal, a seam is to go where the file changes: as far as it does itself where the
    file gives it, else as what lies on either side of it does."""
    normal, at = unit_normal(seam), seam.at
    here, there = dict(_places(now, normal)), dict(_places(moved, normal))
    own = f"seam {seam.id}"
    if own in here:
        return there.get(own, at) - here[own]
    both = sorted((place, name) for name, place in here.items() if name in there)
    low = max((one for one in both if one[0] <= at + _SAME), default=both[0])
    high = min((one for one in both if one[0] >= at - _SAME), default=both[-1])
    part = (at - low[0]) / (high[0] - low[0]) if high[0] - low[0] > _SAME else 0.0
    return (1 - part) * (there[low[1]] - low[0]) + part * (there[high[1]] - high[0])


def _places(now: FileAt, normal: np.ndarray) -> Iterator[tuple[str, float]]:
    """Yield (name, place along a unit normal, mm) of the ends of the body and of all that is given by its dimensions,
    mirror images too, and of the file's own seams square to it."""
    ends = np.array(list(product(*now.bounds.T))) @ normal
    yield from zip(("low end", "high end"), (float(ends.min()), float(ends.max())), strict=True)
    for table in ("openings", "keepouts", "wheels"):
        for one in getattr(now.settings, table):
            given = one.model_dump(exclude_none=True)
            for image, way in (("", normal), ("mirrored ", normal * (1.0, -1.0, 1.0))):
                reach = reach_along(given, tuple(way)) if one.mirror or not image else None
                for end, place in zip(("low", "high"), reach or (), strict=False):
                    yield f"{image}{one.id} {end}", place
    for seam in now.settings.seams.planes:
        if np.abs(unit_normal(seam) - normal).max() < _ALIKE:
            yield f"seam {seam.id}", seam.at
