"""Tyre sizes against published ones."""

import pytest

from sections.standards.tyres import GROWTH, tyre

# Overall diameters, mm, D = 25.4 rim + 2 width aspect: bytetricks.com/en/tire-sizing-calculator (205/55R16),
# tools.gera.services/tire-size-calculator (215/65R17), us.ok.com (225/65R17); the others by the same formula.
PUBLISHED = {
    "205/55R16": 631.9, "215/65R17": 711.3, "225/65R17": 724.3,
    "195/65R15": 634.5, "225/45R17": 634.3, "265/35R18": 642.7,
}  # fmt: skip


@pytest.mark.parametrize("mark", PUBLISHED)
def test_overall_diameter(mark):
    """Rim and section height in whole millimetres move it by half of one each, twice for the height."""
    assert tyre(mark).diameter == pytest.approx(PUBLISHED[mark], abs=1.5)


def test_as_the_regulation_has_it():
    """205/55R16 = 406 + 2 x 113 = 632 (UN Regulation No. 30, from memory)."""
    made = tyre("205/55R16")
    assert (made.rim, made.height, made.width, made.diameter) == (406, 113, 205, 632)
    assert made.largest_diameter == 406 + 2 * GROWTH * 113 and made.largest_width == GROWTH * 205


# Rims by code, mm (UN Regulation No. 30, from memory).
@pytest.mark.parametrize(
    ("code", "rim"), [(13, 330), (14, 356), (15, 381), (16, 406), (17, 432), (18, 457), (19, 483), (20, 508)]
)
def test_rims(code, rim):
    assert tyre(f"205/55R{code}").rim == rim


@pytest.mark.parametrize("mark", ["205/55ZR16", "205/55 R16", "135/80D13"])
def test_other_ways_to_write_it(mark):
    assert tyre(mark).width in (135, 205)


@pytest.mark.parametrize("mark", ["", "205-55-16", "5/55R16", "205/55R", "205/55R16C7"])
def test_no_mark(mark):
    with pytest.raises(ValueError, match="no tyre's mark"):
        tyre(mark)
