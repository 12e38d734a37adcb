"""Straight-line models fitted to readings, with intervals: Student's t for what is fitted, chi-square for the
spread."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy import stats

# How often an interval is to hold what it speaks of.
CONFIDENCE = 0.95


@dataclass(frozen=True)
class Estimate:
    """A value, and the interval it lies in with CONFIDENCE; same unit."""

    value: float
    low: float
    high: float

    def mapped(self, function) -> Estimate:
        """Return what a falling or rising function makes of it."""
        ends = sorted((function(self.low), function(self.high)))
        return Estimate(function(self.value), *ends)

    def holds(self, value: float) -> bool:
        """Return whether a value lies in the interval."""
        return self.low <= value <= self.high


@dataclass(frozen=True)
class Solution:
    """What was fitted. values : (k,). covariance : (k, k), of the values. freedom : readings more than values. sigma :
    of one reading about the model. residuals : (n,). leverage : (n,), each reading's own part in its fitted value."""

    values: np.ndarray
    covariance: np.ndarray
    freedom: int
    sigma: float
    residuals: np.ndarray
    leverage: np.ndarray

    def estimate(self, weights: np.ndarray) -> Estimate:
        """Return the estimate of weights . values, weights (k,)."""
        value = float(weights @ self.values)
        half = float(stats.t.ppf((1 + CONFIDENCE) / 2, self.freedom) * np.sqrt(weights @ self.covariance @ weights))
        return Estimate(value, value - half, value + half)

    def spread(self) -> Estimate:
        """Return the standard deviation of one reading about the model."""
        squares = self.sigma**2 * self.freedom
        low, high = stats.chi2.ppf([(1 + CONFIDENCE) / 2, (1 - CONFIDENCE) / 2], self.freedom)
        return Estimate(self.sigma, float(np.sqrt(squares / low)), float(np.sqrt(squares / high)))

    def outliers(self, level: float = 0.01) -> np.ndarray:
        """Return the numbers of readings too far off for one in `level` of such sets: externally studentised residuals
        against Student's t, by Bonferroni (Cook and Weisberg, Residuals and Influence in Regression, 1982, ch. 2)."""
        count, freedom = len(self.residuals), self.freedom - 1
        if freedom < 1 or self.sigma == 0:
            return np.empty(0, int)
        inner = self.residuals / (self.sigma * np.sqrt(np.maximum(1 - self.leverage, 1e-12)))
        room = np.maximum(self.freedom - inner**2, 1e-12)
        outer = np.abs(inner) * np.sqrt(freedom / room)
        return np.flatnonzero(outer > stats.t.ppf(1 - level / (2 * count), freedom))


def least_squares(design: np.ndarray, readings: np.ndarray) -> Solution:
    """Return the ordinary least squares fit of design (n, k) to readings (n,). Raises ValueError with too few."""
    rows, columns = design.shape
    if rows <= columns or np.linalg.matrix_rank(design) < columns:
        raise ValueError(f"{rows} readings do not tell {columns} values and a spread")
    inverse = np.linalg.inv(design.T @ design)
    values = inverse @ design.T @ readings
    residuals = readings - design @ values
    freedom = rows - columns
    variance = float(residuals @ residuals) / freedom
    leverage = np.einsum("ij,jk,ik->i", design, inverse, design)
    return Solution(values, variance * inverse, freedom, variance**0.5, residuals, leverage)
