"""Where on a ladder of clearances a fit changes, from which rungs passed: a posterior over threshold and spread."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.special import log_ndtr, ndtr

from sections.numbers.least_squares import CONFIDENCE, Estimate

# mm; thresholds are looked for so far past the ladder's ends, so finely; spreads between these.
_PAST, _FINE = 0.3, 0.0025
_SPREADS = np.geomspace(0.004, 0.15, 28)


@dataclass(frozen=True)
class Threshold:
    """What is known of one threshold. places : (n,) mm. spreads : (m,) mm. weights : (n, m), sum 1. reached : whether
    rungs lie on both sides of it."""

    places: np.ndarray
    weights: np.ndarray
    reached: bool

    @property
    def estimate(self) -> Estimate:
        """The clearance at which half of all joints pass, mm."""
        over = np.cumsum(self.weights.sum(1))
        ends = [float(np.interp(part, over, self.places)) for part in (0.5, (1 - CONFIDENCE) / 2, (1 + CONFIDENCE) / 2)]
        return Estimate(*ends)

    def passing(self, clearance: float | np.ndarray) -> np.ndarray:
        """Return the share of joints, printed anew, that pass at a clearance as drawn, mm."""
        at = np.atleast_1d(np.asarray(clearance, float))
        share = ndtr((at[:, None, None] - self.places[None, :, None]) / _SPREADS)
        return (share * self.weights).sum((1, 2))


def threshold_of(clearances: np.ndarray, passed: np.ndarray) -> Threshold:
    """Return what is known of where a fit changes.

    clearances : (n,) mm, of every rung tried. passed : (n,) bool. A rung passes when its clearance, off by a normal
    spread, is over the threshold (the probit model: Finney, Probit Analysis, 1971). Every threshold within reach and,
    on a logarithmic scale, every spread from 0.004 to 0.15 mm are held equally likely before anything is tried.
    """
    places = np.arange(clearances.min() - _PAST, clearances.max() + _PAST, _FINE)
    off = (clearances[:, None, None] - places[None, :, None]) / _SPREADS
    sign = np.where(passed, 1.0, -1.0)[:, None, None]
    log = log_ndtr(sign * off).sum(0)
    weights = np.exp(log - log.max())
    reached = bool(passed.any() and not passed.all())
    return Threshold(places, weights / weights.sum(), reached)
