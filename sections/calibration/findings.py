"""All that a file of readings says of a printer, as plain data."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sections.calibration.ladders import TriedLadder, tried_of
from sections.calibration.model import Readings
from sections.calibration.sizes import Holes, Lengths, holes_of, lengths_of, mean_of
from sections.numbers.least_squares import Estimate
from sections.settings.fits import WORDS

DIRECTIONS = ("x", "y", "height")


@dataclass(frozen=True)
class Calibration:
    """What was found. level, upright : lengths in x and y, and upward. shrink : by direction, part of a length lost,
    of what the printer is given. ladders : by id. first_layer_spread : mm per side. rise : mm. trials : by id, the last
    good one of all prints.
    """

    prints: int
    level: Lengths | None
    upright: Lengths | None
    shrink: dict[str, Estimate]
    holes: Holes | None
    first_layer_spread: float | None
    rise: float | None
    thickness: tuple[tuple[str, float, float], ...]
    ladders: dict[str, TriedLadder]
    trials: dict[str, float]

    @property
    def outside_oversize(self) -> Estimate | None:
        """By how much outsides come out larger, all across, mm: what lengths in x and y have over their scale."""
        return None if self.level is None else self.level.middle_offset

    @property
    def doubtful(self) -> tuple[str, ...]:
        """Readings far off what the others say."""
        sized = [one.doubtful for one in (self.level, self.upright, self.holes) if one is not None]
        return tuple(name for names in sized for name in names)

    def word_fit(self, kind: str, word: str) -> float | None:
        """Return what a word comes to, mm per side as these prints were drawn: of pins the wider of round hole and
        slot, of inserts the mean of all sizes; None where not known."""
        found = [ladder.measured(word) for ladder in self.of_kind(kind)]
        if not found or None in found or max(found) == float("-inf"):
            return None
        return sum(found) / len(found) if kind == "insert" else max(found)

    def of_kind(self, kind: str) -> list[TriedLadder]:
        """Return the ladders that tell of a fit: key, dowel (round holes and slots) or insert."""
        kinds = {"dowel": ("dowel", "slot")}.get(kind, (kind,))
        return [ladder for ladder in self.ladders.values() if ladder.kind in kinds]

    def words(self, readings: Readings) -> dict[str, dict[str, float]]:
        """Return what every word that was measured comes to, mm per side, by kind of fit, for files as large as they
        will be."""
        asked = {"key": WORDS, "dowel": WORDS, "insert": ("press",)}
        measured = {kind: {word: self.word_fit(kind, word) for word in words} for kind, words in asked.items()}
        ratio = self.larger(readings)
        return {
            kind: {word: self._redrawn(kind, fit, ratio) for word, fit in words.items() if fit is not None}
            for kind, words in measured.items()
            if any(fit is not None for fit in words.values())
        }

    def _redrawn(self, kind: str, fit: float, ratio: float) -> float:
        return round(self.of_kind(kind)[0].redrawn(fit, ratio), 4) + 0.0

    def larger(self, readings: Readings) -> float:
        """Return how much larger files will be in x and y than those of these prints were."""
        before, now = np.array(readings.shrink[:2]), np.array(self.kept(readings)[:2])
        return float(np.mean((1 - before) / (1 - now)))

    def kept(self, readings: Readings) -> list[float]:
        """Return printer.shrink as it is to be: what was found, and what it was where the readings do not speak against
        it."""
        shrink = []
        for kind, given in zip(DIRECTIONS, readings.shrink, strict=True):
            found = self.shrink.get(kind)
            shrink.append(float(given) if found is None or found.holds(given) else round(found.value, 5) + 0.0)
        return shrink


def calibration_of(readings: Readings) -> Calibration:
    """Return all that a file of readings says."""
    level, upright = lengths_of(readings, "x", "y"), lengths_of(readings, "height")
    given = dict(zip(DIRECTIONS, readings.shrink, strict=True))
    slopes = {**(level.slope if level else {}), **(upright.slope if upright else {})}
    # Drawn lengths were divided by 1 - given on their way into the file.
    shrink = {
        kind: slope.mapped(lambda value, kind=kind: 1 - value * (1 - given[kind])) for kind, slope in slopes.items()
    }
    base, above = mean_of(readings, "foot"), mean_of(readings, "thickness", "above")
    foot = None if base is None or above is None else max((base - above) / 2, 0.0)
    thickness = tuple(
        (size.id, size.asked, mean)
        for size in readings.sizes
        if size.kind == "thickness" and (mean := mean_of(readings, "thickness", size.id)) is not None
    )
    tried = {ladder.id: made for ladder in readings.ladders if (made := tried_of(ladder)) is not None}
    trials = {one.id: _worst(one) for one in readings.trials if one.said}
    counts = [len(size.read) for size in readings.sizes]
    counts += [len(one.said) for one in (*readings.ladders, *readings.trials)]
    return Calibration(
        max(counts), level, upright, shrink, holes_of(readings, level), foot, mean_of(readings, "rise"), thickness,
        tried, trials,
    )  # fmt: skip


def _worst(trial) -> float:
    """Return the least good of what several prints came to: values go from easy to hard."""
    return trial.values[min(trial.values.index(said) for said in trial.said)]
