"""ISO 286 limits against libraries that carry them, the standard's own formula, and worked fits."""

import math

import pressfit
import pytest

from sections.standards.limits import grade_width, hole_limits, pair_of, shaft_limits

DIAMETERS = (2, 3, 4, 5, 6, 8, 10, 12, 16, 18, 20, 25, 30, 40, 50)
LETTERS = "defghkmnp"


def um(value):
    return round(value * 1000)


@pytest.mark.parametrize("grade", range(5, 12))
@pytest.mark.parametrize("diameter", DIAMETERS)
def test_grades(diameter, grade):
    """Every cell of IT5 to IT11 against pressfit 0.1.0."""
    assert um(grade_width(diameter, grade)) == pressfit.it_value(diameter, grade)


@pytest.mark.parametrize("letter", LETTERS)
@pytest.mark.parametrize("diameter", DIAMETERS)
def test_shafts(diameter, letter):
    """Fundamental deviations against pressfit 0.1.0: es of d to h, ei of k to p."""
    deviation = pressfit.shaft_deviation(diameter, letter, 6)
    limits = shaft_limits(diameter, f"{letter}6")
    assert um(limits.upper if letter in "defgh" else limits.lower) == deviation
    assert um(limits.width) == pressfit.it_value(diameter, 6)


@pytest.mark.parametrize("grade", range(6, 15))
@pytest.mark.parametrize("diameter", [d for d in DIAMETERS if d > 6])
def test_grades_near_the_formula(diameter, grade):
    """ISO 286-1 A.3: i = 0.45 D^(1/3) + 0.001 D over the geometric mean of the step; IT6 10 i, IT7 16 i, IT8 25 i,
    IT9 40 i, IT10 64 i, five grades on ten times as much. The tables round by rules of their own, below 6 mm coarsely;
    above it they stay within 6 %."""
    low, high = next(step for step in ((6, 10), (10, 18), (18, 30), (30, 50)) if diameter <= step[1])
    mean = math.sqrt(low * high)
    factor = 0.45 * mean ** (1 / 3) + 0.001 * mean
    multiple = (10, 16, 25, 40, 64)[(grade - 6) % 5] * 10 ** ((grade - 6) // 5)
    assert grade_width(diameter, grade) * 1000 == pytest.approx(multiple * factor, rel=0.06)


@pytest.mark.parametrize(
    ("pair", "diameter", "least", "most"),
    [
        # Worked with pressfit 0.1.0; 25 H7/g6 and 25 H7/h6 are also on torqyx.vercel.app and metricmech.com.
        ("H7/g6", 25, 7, 41), ("H7/h6", 25, 0, 34), ("H7/g6", 3, 2, 18), ("H7/g6", 8, 5, 29), ("H7/p6", 3, -12, 4),
        ("H7/p6", 6, -20, 0), ("H9/d9", 12, 50, 136), ("H8/f7", 20, 20, 74), ("H7/k6", 10, -10, 14),
        ("H7/n6", 40, -33, 8), ("H7/h6", 18, 0, 29),
        # A parallel pin m6 in an H7 hole: closed form from the two tables.
        ("H7/m6", 6, -12, 8), ("H7/m6", 8, -15, 9),
    ],
)  # fmt: skip
def test_pairs(pair, diameter, least, most):
    made = pair_of(diameter, pair)
    assert (um(made.least), um(made.most)) == (least, most)


@pytest.mark.parametrize(("diameter", "upper"), [(10, 15), (30, 21), (50, 25), (18, 18)])
def test_a_size_on_a_step_belongs_to_the_step_below(diameter, upper):
    """10 H7 is +15 and 30 H7 +21; web pages say 14 and 25."""
    assert (um(hole_limits(diameter, "H7").lower), um(hole_limits(diameter, "H7").upper)) == (0, upper)


@pytest.mark.parametrize("diameter", DIAMETERS)
def test_hole_and_shaft_basis_give_one_clearance(diameter):
    """ISO 286-1: G7/h6 and H7/g6 have equal clearances, for holes mirror shafts (letters up to H)."""
    hole, shaft = pair_of(diameter, "G7/h6"), pair_of(diameter, "H7/g6")
    assert (um(hole.least), um(hole.most)) == (um(shaft.least), um(shaft.most))


@pytest.mark.parametrize("text", ["H7", "H7/g", "K7/h6", "H4/g6", "H7/c11", "h7/g6", "H7/g6 "])
def test_no_pair(text):
    with pytest.raises(ValueError, match="is no pair"):
        pair_of(10, text)


@pytest.mark.parametrize("diameter", [0, -1, 50.1, 200])
def test_off_the_table(diameter):
    with pytest.raises(ValueError, match="not over 0 up to 50"):
        pair_of(diameter, "H7/g6")
