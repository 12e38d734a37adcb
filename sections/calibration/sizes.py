"""What callipers say: by how much lengths shrink, outsides come out larger and holes smaller."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from sections.calibration.model import Readings, SizeRead
from sections.numbers.least_squares import Estimate, Solution, least_squares


@dataclass(frozen=True)
class Reading:
    """The mean, mm, of what was read of one thing on one print. name : of both, to be spoken of."""

    name: str
    kind: str
    asked: float
    value: float


@dataclass(frozen=True)
class Lengths:
    """Lengths along one or two of the bed's directions: measured = slope x drawn + offset. slope, offset : by
    direction. spread : mm, of one size about the line. doubtful : names of readings far off it."""

    slope: dict[str, Estimate]
    offset: dict[str, Estimate]
    middle_slope: Estimate
    middle_offset: Estimate
    slope_variance: float
    spread: Estimate
    solution: Solution
    readings: tuple[Reading, ...]
    doubtful: tuple[str, ...]

    def line(self, kind: str, drawn: float) -> Estimate:
        """Return what a length of a direction comes out as, mm, on average."""
        count, column = len(self.slope), list(self.slope).index(kind)
        weights = np.zeros(2 * count)
        weights[[column, count + column]] = drawn, 1.0
        return self.solution.estimate(weights)


@dataclass(frozen=True)
class Holes:
    """Holes come out undersize[0] + undersize[1] / d smaller, all across. loss : at a diameter."""

    undersize: tuple[Estimate, Estimate]
    spread: Estimate
    solution: Solution
    readings: tuple[Reading, ...]
    doubtful: tuple[str, ...]

    def loss(self, diameter: float) -> Estimate:
        """Return by how much a hole of a diameter comes out smaller, mm."""
        return self.solution.estimate(np.array([1.0, 1.0 / diameter]))


def readings_of(readings: Readings, *kinds: str) -> tuple[Reading, ...]:
    """Return the readings of some kinds, repeated ones on one print made one: they share that print's own error."""
    return tuple(
        Reading(f"{size.id}, print {number}", size.kind, size.asked, float(np.mean(print_)))
        for size in readings.sizes
        if size.kind in kinds
        for number, print_ in enumerate(size.read, 1)
    )


def lengths_of(readings: Readings, *kinds: str) -> Lengths | None:
    """Return the lines through the lengths of some directions, each with a slope and an offset of its own and one
    spread for all; None where there are too few readings to tell them."""
    taken = readings_of(readings, *kinds)
    there = [kind for kind in kinds if len({r.asked for r in taken if r.kind == kind}) > 1]
    taken = tuple(reading for reading in taken if reading.kind in there)
    count = len(there)
    if len(taken) <= 2 * count:
        return None
    design = np.zeros((len(taken), 2 * count))
    for row, reading in enumerate(taken):
        column = there.index(reading.kind)
        design[row, [column, count + column]] = reading.asked, 1.0
    solved = least_squares(design, np.array([reading.value for reading in taken]))
    unit = np.eye(2 * count)
    slopes = np.r_[np.full(count, 1 / count), np.zeros(count)]
    offsets = np.r_[np.zeros(count), np.full(count, 1 / count)]
    return Lengths(
        {kind: solved.estimate(unit[n]) for n, kind in enumerate(there)},
        {kind: solved.estimate(unit[count + n]) for n, kind in enumerate(there)},
        solved.estimate(slopes), solved.estimate(offsets), float(slopes @ solved.covariance @ slopes), solved.spread(),
        solved, taken, tuple(taken[n].name for n in solved.outliers()),
    )  # fmt: skip


def holes_of(readings: Readings, lengths: Lengths | None) -> Holes | None:
    """Return how holes come out, beside what the lengths say of scale; None where there are too few to tell."""
    taken = readings_of(readings, "hole")
    if lengths is None or len(taken) < 3 or len({reading.asked for reading in taken}) < 2:
        return None
    drawn = np.array([reading.asked for reading in taken])
    loss = lengths.middle_slope.value * drawn - np.array([reading.value for reading in taken])
    design = np.column_stack([np.ones_like(drawn), 1 / drawn])
    solved = least_squares(design, loss)
    # What is not known of the scale is not known of the holes either.
    turn = np.linalg.pinv(design) @ drawn
    covariance = solved.covariance + np.outer(turn, turn) * lengths.slope_variance
    whole = replace(solved, covariance=covariance)
    both = whole.estimate(np.array([1.0, 0.0])), whole.estimate(np.array([0.0, 1.0]))
    return Holes(both, solved.spread(), whole, taken, tuple(taken[n].name for n in solved.outliers()))


def mean_of(readings: Readings, kind: str, size_id: str = "") -> float | None:
    """Return the mean of what was read of a kind, or of one thing of it, mm; None where nothing was."""
    rows: list[SizeRead] = [size for size in readings.sizes if size.kind == kind and size_id in ("", size.id)]
    values = [float(np.mean(print_)) for size in rows for print_ in size.read]
    return float(np.mean(values)) if values else None
