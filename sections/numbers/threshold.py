"""Where on a ladder of clearances a fit changes, from which rungs passed: a posterior over threshold and spread."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from scipy.special import log_ndtr, ndtr

from sections.numbers.least_squares import CONFIDENCE, Estimate

# mm; thresholds are looked for so far past the ladder's ends, so finely; spreads between these.
_PAST, _FINE = 0.3, 0.0025
# Places looked at first; by how much less likely than the likeliest, as a logarithm, and as a part, one is ruled out.
_COARSE, _UNLIKELY, _RULED_OUT = 8, 40.0, 1e-12
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
        place, spread, weight = self._likely
        return ndtr((at[:, None] - place) / spread) @ weight

    @cached_property
    def _likely(self) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
        """(place, spread, weight), (k,) each, of all pairs that are not ruled out; weights sum 1."""
        place, spread = np.nonzero(self.weights > _RULED_OUT * self.weights.max())
        weight = self.weights[place, spread]
        return self.places[place], _SPREADS[spread], weight / weight.sum()


def threshold_of(clearances: np.ndarray, passed: np.ndarray) -> Threshold:
    """Return what is known of where a fit changes.

    clearances : (n,) mm, of every rung tried. passed : (n,) bool. A rung passes when its clearance, off by a normal
    spread, is over the threshold (the probit model: Finney, Probit Analysis, 1971). Every threshold within reach and,
    on a logarithmic scale, every spread from 0.004 to 0.15 mm are held equally likely before anything is tried.
    """
    places = np.arange(clearances.min() - _PAST, clearances.max() + _PAST, _FINE)
    # Rungs of one clearance that came out alike are looked at once.
    tried, count = np.unique(np.column_stack([clearances, passed]), axis=0, return_counts=True)
    clearance, sign = tried[:, 0, None, None], np.where(tried[:, 1] > 0, 1.0, -1.0)[:, None, None]

    def log_likelihood(some: np.ndarray) -> np.ndarray:
        return np.tensordot(count, log_ndtr(sign * (clearance - some[None, :, None]) / _SPREADS), 1)

    coarse = log_likelihood(places[::_COARSE])
    likely = np.flatnonzero(coarse.max(1) > coarse.max() - _UNLIKELY) * _COARSE
    near = np.arange(max(likely[0] - _COARSE, 0), min(likely[-1] + _COARSE + 1, len(places)))
    log = np.full((len(places), len(_SPREADS)), -np.inf)
    log[near] = log_likelihood(places[near])
    weights = np.exp(log - log.max())
    reached = bool(passed.any() and not passed.all())
    return Threshold(places, weights / weights.sum(), reached)
