"""Tables against libraries that carry them, and against each other."""

import csv
import importlib.metadata

import pressfit
import pytest

from sections.standards import fastener, fastener_sizes, pin_diameters
from sections.standards.pins import pin_limits

# ISO 273 from M12 on steps by half millimetres; the library below has whole ones there and is wrong.
RIGHT_M12 = {"fine": 13.0, "medium": 13.5, "coarse": 14.5}


def library_holes():
    try:
        files = importlib.metadata.files("bd-warehouse") or []
    except importlib.metadata.PackageNotFoundError:
        pytest.skip("bd-warehouse is not installed: pip install --no-deps bd-warehouse==0.4.0")
    path = next(file for file in files if file.name == "clearance_hole_sizes.csv").locate()
    with open(path, newline="") as text:
        rows = list(csv.DictReader(text))
    size = next(iter(rows[0]))
    return {row[size]: {"fine": row["Close"], "medium": row["Normal"], "coarse": row["Loose"]} for row in rows}


@pytest.mark.parametrize("size", [s for s in fastener_sizes() if s != "M12"])
@pytest.mark.parametrize("series", ["fine", "medium", "coarse"])
def test_clearance_holes_are_those_of_iso_273(size, series):
    """Against bd-warehouse 0.4.0, which carries ISO 273."""
    assert fastener(size).hole(series) == float(library_holes()[size][series])


def test_m12_steps_by_half_millimetres():
    """ISO 273: 13, 13.5, 14.5. bd-warehouse 0.4.0 says 13, 14, 15."""
    assert {series: fastener("M12").hole(series) for series in RIGHT_M12} == RIGHT_M12


@pytest.mark.parametrize("diameter", pin_diameters())
def test_pin_limits_are_those_of_iso_286(diameter):
    """m6 and h8 against pressfit, which carries ISO 286."""
    lower = pressfit.shaft_deviation(diameter, "m", 6)
    upper = lower + pressfit.it_value(diameter, 6)
    assert pin_limits(diameter, "m6") == pytest.approx((diameter + lower / 1000, diameter + upper / 1000))
    smallest = diameter - pressfit.it_value(diameter, 8) / 1000
    assert pin_limits(diameter, "h8") == pytest.approx((smallest, diameter))


def test_a_size_on_a_step_belongs_to_the_step_below():
    """ISO 286 steps are "over a, up to and including b": 10 is in 6..10, so 10 m6 is +6 to +15."""
    assert pin_limits(10, "m6") == pytest.approx((10.006, 10.015))


@pytest.mark.parametrize(("size", "head"), [("M3", 5.5), ("M4", 7.0), ("M5", 8.5), ("M6", 10.0), ("M8", 13.0)])
def test_plain_heads_of_iso_4762(size, head):
    """dk max of the plain head (5.5, 7, 8.5, 10, 13), not the knurled one (M5: 8.72)."""
    assert fastener(size).head_diameter == head


@pytest.mark.parametrize(("size", "thick"), [("M3", 0.5), ("M4", 0.8), ("M5", 1.0), ("M6", 1.6), ("M8", 1.6)])
def test_washers_are_nominal(size, thick):
    """ISO 7089 nominal h; the greatest h of M6 is 1.8."""
    assert fastener(size).washer_thickness == thick


def test_bolt_rules_of_en_1993_1_8():
    """Table 3.3: edge distance 1.2 d0, pitch 2.2 d0 to the smaller of 14 t and 200 mm."""
    from sections.settings.joints import BoltsTable
    from sections.standards.fasteners import PITCH_MIN_PER_HOLE, longest_pitch

    assert PITCH_MIN_PER_HOLE == 2.2
    assert longest_pitch(6.0) == 84.0
    assert longest_pitch(20.0) == 200.0
    assert BoltsTable.model_fields["edge"].metadata[0].ge == 1.2
