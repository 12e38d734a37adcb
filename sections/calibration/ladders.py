"""What ladders say: where a fit goes over from jamming to pressing, sliding, being loose, and what to draw for each.

Answers are not read off rung by rung: with one print and no overlap any threshold between two rungs is as likely.
Intervals from a posterior held the truth in 94 to 98 of 100; they are wide, and say so.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from sections.calibration.model import ANSWERS, LadderRead
from sections.calibration.plausibility import contrary_answers
from sections.numbers.threshold import Threshold, threshold_of

_HALF = 0.5
# The share of joints a fit must serve, and how finely it is given, mm per side.
SERVED = 0.95
_FINE = 0.005


@dataclass(frozen=True)
class Share:
    """Of all joints drawn with one fit, the parts that go together too hard and too easily for it."""

    binds: float
    rattles: float


@dataclass(frozen=True)
class TriedLadder:
    """One ladder. bought : mm, of a piece that is bought and does not shrink; 0 for one that is printed. presses,
    slides, loose : from which clearance on, mm per side as drawn. turned : rungs whose answers are the wrong way
    round."""

    id: str
    kind: str
    bought: float
    fits: tuple[float, ...]
    said: tuple[tuple[str, ...], ...]
    presses: Threshold
    slides: Threshold
    loose: Threshold
    turned: tuple[str, ...]

    @cached_property
    def _drawn(self) -> np.ndarray:
        """Clearances a fit may be chosen from, mm per side."""
        return np.arange(np.ceil(self.slides.places[0] / _FINE), self.slides.places[-1] / _FINE) * _FINE

    def press(self) -> float | None:
        """Return the clearance at which most joints press and do not slide, mm per side; None where no rung does."""
        pressed = any(answer == "presses" for said in self.said for answer in said)
        if not (self.presses.reached and self.slides.reached and pressed):
            return None
        share = self.presses.passing(self._drawn) - self.slides.passing(self._drawn)
        return float(self._drawn[share.argmax()])

    def slide(self) -> float | None:
        """Return the least clearance at which SERVED of all joints slide or are loose; None where no rung shows it."""
        return self._least(self.slides)

    def loosely(self) -> float | None:
        """Return the least clearance at which SERVED of all joints are loose; None where no rung shows it."""
        return self._least(self.loose)

    def _least(self, threshold: Threshold) -> float | None:
        if not threshold.reached:
            return None
        enough = threshold.passing(self._drawn) >= SERVED
        return float(self._drawn[enough.argmax()]) if enough.any() else None

    def threshold(self, word: str) -> Threshold:
        """Return from where on joints do what a word means."""
        return {"press": self.presses, "slide": self.slides, "loose": self.loose}[word]

    def measured(self, word: str) -> float | None:
        """Return what a word comes to, mm per side: -inf where every rung was that wide already, None where not
        measured."""
        threshold = self.threshold(word)
        if word != "press" and not threshold.reached and threshold.passing(self.fits[0])[0] > _HALF:
            return float("-inf")
        return {"press": self.press, "slide": self.slide, "loose": self.loosely}[word]()

    def redrawn(self, fit: float, ratio: float) -> float:
        """Return the fit that a bought piece's hole comes out the same with when files are `ratio` times as large."""
        return ((self.bought + 2 * fit) / ratio - self.bought) / 2 if self.bought else fit

    def share(self, word: str, fit: float) -> Share:
        """Return what becomes of joints meant to press, slide or be loose, drawn with a fit, mm per side."""
        wanted = self.threshold(word)
        beyond = {"press": self.slides, "slide": self.loose, "loose": None}[word]
        binds = 1 - float(wanted.passing(fit)[0]) if wanted.reached else float("nan")
        rattles = 0.0 if beyond is None else float(beyond.passing(fit)[0]) if beyond.reached else float("nan")
        return Share(binds, rattles)


def tried_of(ladder: LadderRead) -> TriedLadder | None:
    """Return what a ladder shows, None where it was not tried."""
    if not ladder.said:
        return None
    ranks = np.array([[ANSWERS.index(answer) for answer in said] for said in ladder.said])
    clearances = np.tile(np.array(ladder.fits), len(ladder.said))
    at_least = [threshold_of(clearances, ranks.ravel() >= rank) for rank in range(1, len(ANSWERS))]
    against = tuple(
        f"{ladder.id}, print {number}: {ladder.marks[one]} and {ladder.marks[two]}"
        for number, row in enumerate(ranks.tolist(), 1)
        for one, two in contrary_answers(row)[:1]
    )
    said = tuple(tuple(one) for one in ladder.said)
    return TriedLadder(ladder.id, ladder.kind, ladder.bought, tuple(ladder.fits), said, *at_least, against)
