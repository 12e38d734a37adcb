"""Fits and intervals against certified values, tables and another route."""

import numpy as np
import pytest
from scipy import optimize, stats

from sections.numbers.least_squares import least_squares
from sections.numbers.threshold import threshold_of

# NIST Statistical Reference Datasets, Norris (itl.nist.gov/div898/strd), y then x; the data from memory: that they give
# the certified values to ten digits says that they are right.
NORRIS = """
0.1 0.2 338.8 337.4 118.1 118.2 888.0 884.6 9.2 10.1 228.1 226.5 668.5 666.3 998.5 996.3 449.1 448.6 778.9 777.0 559.2
558.2 0.3 0.4 0.1 0.6 778.1 775.5 668.8 666.9 339.3 338.0 448.9 447.5 10.8 11.6 557.7 556.0 228.3 228.1 998.0 995.8
888.8 887.6 119.6 120.2 0.3 0.3 0.6 0.3 557.6 556.8 339.3 339.1 888.0 887.2 998.5 999.0 778.9 779.0 10.2 11.1 117.6
118.3 228.9 229.2 668.4 669.1 449.2 448.9 0.2 0.5
"""


def line(x):
    return np.column_stack([np.ones_like(x), x])


def test_norris():
    """Certified: -0.262323073774029 and 1.00211681802045, their deviations 0.232818234301152 and 0.429796848199937E-03,
    residual 0.884796396144373, 34 degrees of freedom."""
    y, x = np.array(NORRIS.split(), float).reshape(-1, 2).T
    solved = least_squares(line(x), y)
    assert solved.values == pytest.approx([-0.262323073774029, 1.00211681802045], rel=1e-10)
    assert np.sqrt(np.diag(solved.covariance)) == pytest.approx([0.232818234301152, 0.429796848199937e-3], rel=1e-9)
    assert solved.sigma == pytest.approx(0.884796396144373, rel=1e-10) and solved.freedom == 34


def test_interval_by_the_table():
    """Student's t, 0.975, 4 degrees of freedom: 2.776 (any table)."""
    x = np.arange(6.0)
    solved = least_squares(line(x), np.array([0.0, 1.1, 1.9, 3.2, 3.9, 5.0]))
    slope = solved.estimate(np.array([0.0, 1.0]))
    assert (slope.high - slope.value) / np.sqrt(solved.covariance[1, 1]) == pytest.approx(2.776, abs=5e-4)
    # Chi-square, 4 degrees of freedom: 0.484 and 11.143 (any table).
    spread = solved.spread()
    assert spread.low == pytest.approx(solved.sigma * np.sqrt(4 / 11.143), rel=1e-3)
    assert spread.high == pytest.approx(solved.sigma * np.sqrt(4 / 0.484), rel=1e-3)


def test_same_as_another_library():
    """scipy.stats.linregress."""
    rng = np.random.default_rng(1)
    x = rng.uniform(0, 150, 20)
    y = 0.3 + 0.99 * x + rng.normal(0, 0.05, 20)
    solved, other = least_squares(line(x), y), stats.linregress(x, y)
    assert solved.values == pytest.approx([other.intercept, other.slope], rel=1e-12)
    assert np.sqrt(np.diag(solved.covariance)) == pytest.approx([other.intercept_stderr, other.stderr], rel=1e-9)


def test_outliers():
    """One reading 0.4 off among 20 with a spread of 0.05 is named, and no other, nearly always; without it none is, in
    99 of 100 sets."""
    false = found = 0
    for seed in range(200):
        rng = np.random.default_rng(seed)
        x = rng.uniform(0, 150, 20)
        y = 1.0 + x + rng.normal(0, 0.05, 20)
        false += len(least_squares(line(x), y).outliers()) > 0
        y[7] += 0.4
        found += least_squares(line(x), y).outliers().tolist() == [7]
    # 200 sets at 1 in 100: 2 expected; more than 8 would be 4 standard deviations.
    assert false <= 8 and found >= 180


@pytest.mark.parametrize("x", [[1.0, 2.0], [1.0, 1.0, 1.0], []])
def test_too_few(x):
    with pytest.raises(ValueError, match="do not tell"):
        least_squares(line(np.array(x)), np.array(x))


def test_threshold_between_two_rungs():
    """Rungs all short of 0.10 and all past 0.15: the threshold is held to lie between, evenly, but for the spread."""
    clearances = np.repeat([0.05, 0.10, 0.15, 0.20], 12)
    found = threshold_of(clearances, clearances > 0.12)
    assert found.reached and found.estimate.value == pytest.approx(0.125, abs=2e-3)
    assert 0.09 < found.estimate.low < 0.11 and 0.14 < found.estimate.high < 0.16
    assert found.passing([0.05, 0.125, 0.2]) == pytest.approx([0.0, 0.5, 1.0], abs=0.03)


@pytest.mark.parametrize("seed", range(6))
def test_threshold_as_most_likely(seed):
    """With many rungs the posterior agrees with the probit's maximum likelihood, found by scipy on its own."""
    rng = np.random.default_rng(seed)
    true, spread = rng.uniform(0.1, 0.2), rng.uniform(0.02, 0.06)
    clearances = np.tile(np.arange(0.0, 0.31, 0.05), 120)
    passed = clearances + rng.normal(0, spread, len(clearances)) > true
    found = threshold_of(clearances, passed)

    def unlikely(at):
        share = stats.norm.cdf((clearances - at[0]) / np.exp(at[1]))
        return -np.log(np.clip(np.where(passed, share, 1 - share), 1e-12, 1)).sum()

    best = optimize.minimize(unlikely, [0.15, np.log(0.04)], method="Nelder-Mead").x
    assert found.estimate.value == pytest.approx(best[0], abs=2e-3)
    assert found.estimate.low < true < found.estimate.high or abs(found.estimate.value - true) < 0.01


@pytest.mark.parametrize("passed", [True, False])
def test_threshold_beyond_the_ladder(passed):
    """All rungs alike: not reached, and what is held of it reaches to the end of what was looked for."""
    clearances = np.array([0.1, 0.15, 0.2])
    found = threshold_of(clearances, np.full(3, passed))
    assert not found.reached
    assert found.estimate.high - found.estimate.low > 0.2
