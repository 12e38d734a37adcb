"""Sums of tolerances against published examples; growth, general tolerances, pins and slots against closed forms."""

import math

import numpy as np
import pytest

from sections.checks.stackup import check_slot_lengths
from sections.numbers.tolerance_stack import Contributor, contributor, levers, root_sum_square, worst_case
from sections.settings import Settings
from sections.stackup.ties import pin_tilt, slot_length, spread_points
from sections.standards.general import general_tolerance
from sections.standards.limits import pair_of
from sections.standards.materials import growth, plastic

X_AXIS, Y_AXIS = (1.0, 0.0, 0.0), (0.0, 1.0, 0.0)
BODY = {"name": "any", "body": {"file": "any.stl", "units": "mm"}}


def test_a_published_stack():
    """metricmech.com, tolerance stack-up worked example: 40.00 +-0.10 less 25.00 +-0.05, 2.00 +-0.03, 10.00 +-0.05: a
    gap of 3.00, 2.77 to 3.23 at worst, 2.874 to 3.126 by root sum of squares."""
    parts = [
        contributor("case", 0.10),
        contributor("bearing", 0.05),
        contributor("washer", 0.03),
        contributor("spacer", 0.05),
    ]
    gap = 40.0 - 25.0 - 2.0 - 10.0
    worst, usual = worst_case(parts), root_sum_square(parts)
    assert (round(gap - worst, 2), round(gap + worst, 2)) == (2.77, 3.23)
    assert (round(gap - usual, 3), round(gap + usual, 3)) == (2.874, 3.126)
    # A million such by chance have three deviations of 0.1261.
    rng = np.random.default_rng(3)
    made = sum(rng.normal(0, one.most / 3, 1_000_000) for one in parts)
    assert 3 * made.std() == pytest.approx(usual, rel=5e-3)
    # Evenly spread parts: sqrt(3) times as much (closed form).
    even = sum(rng.uniform(-one.most, one.most, 1_000_000) for one in parts)
    assert 3 * even.std() == pytest.approx(math.sqrt(3) * usual, rel=5e-3)


@pytest.mark.parametrize(("count", "each", "worst", "usual"), [(10, 0.1, 1.0, 0.316), (7, 0.2, 1.4, 0.529)])
def test_equal_parts(count, each, worst, usual):
    """n t and t sqrt(n): Scholz, Tolerance stack analysis methods, Boeing 1995."""
    parts = [contributor(str(n), each) for n in range(count)]
    assert worst_case(parts) == pytest.approx(worst) and root_sum_square(parts) == pytest.approx(usual, abs=5e-4)


def test_halving():
    """0.3 and 0.4 make 0.5; the larger halved, sqrt(0.09 + 0.04) = 0.3606; the smaller, sqrt(0.0225 + 0.16) =
    0.4272."""
    best, next_ = levers([contributor("small", 0.3), contributor("large", 0.4)], 5)
    assert (best.part.name, next_.part.name) == ("large", "small")
    assert best.usual == pytest.approx(0.5 - math.sqrt(0.13)) and next_.usual == pytest.approx(0.5 - math.sqrt(0.1825))
    assert (best.worst, next_.worst) == (0.2, 0.15)


def test_halving_at_worst():
    """A sum of many that are independent: 2 at worst, 0.1 usually. Halved it buys most of the worst case, not of the
    other sum."""
    many, one = Contributor("many", 2.0, 0.1), contributor("one", 0.5)
    assert [lever.part.name for lever in levers([many, one], 2)] == ["one", "many"]
    assert [lever.part.name for lever in levers([many, one], 2, "worst")] == ["many", "one"]


@pytest.mark.parametrize(
    ("material", "expansion", "grown"),
    [("ABS", 73.8, 3.985), ("PLA", 68, 3.672), (None, 12, 0.648), (None, 24, 1.296), (None, 25, 1.350)],
)
def test_growth(material, expansion, grown):
    """1800 mm, 30 K: alpha L dT; steel 12, aluminium 24, polyester and glass 25."""
    assert material is None or plastic(material.lower()).expansion == expansion
    assert growth(1800, expansion, 30) == pytest.approx(grown, abs=1e-3)


def test_growth_against_steel():
    """ABS against a steel jig, 1800 mm, 30 K: 3.337."""
    assert growth(1800, 73.8 - 12, 30) == pytest.approx(3.337, abs=1e-3)


@pytest.mark.parametrize(
    ("length", "grade", "tolerance"),
    [(2, "m", 0.1), (3, "m", 0.1), (3.1, "c", 0.3), (30, "f", 0.1), (120, "m", 0.3), (120.1, "m", 0.5), (400, "c", 1.2),
     (1000, "v", 4), (1500, "f", 0.5), (4000, "m", 2), (4000, "f", None), (2, "v", None), (4001, "m", None),
     (0.4, "m", None)],
)  # fmt: skip
def test_general_tolerances(length, grade, tolerance):
    """ISO 2768-1, a second-hand copy; ranges are over a up to and including b: 120 mm is in 30 to 120."""
    assert general_tolerance(length, grade) == tolerance


def test_tilt_on_two_pins():
    """8 H7/g6 twice, 200 apart, loosest: 29 um each: 0.145 mrad, 0.00831 deg, 0.145 mm in a metre (closed form)."""
    most = pair_of(8, "H7/g6").most
    tilt = pin_tilt(most, most, 200)
    assert tilt * 1000 == pytest.approx(0.145) and math.degrees(tilt) == pytest.approx(0.00831, abs=5e-6)


def test_slot():
    """An 8 mm pin, holes +-0.2, pins +-0.05, ABS and steel 20 K apart over 400 mm: e = 0.744, a slot of 9.489 mm."""
    off = 0.2 + 0.05 + growth(400, 73.8 - 12, 20)
    assert off == pytest.approx(0.744, abs=1e-3)
    assert slot_length(8, off) == pytest.approx(9.489, abs=1e-3)


@pytest.mark.parametrize(("slot", "short"), [(0.29, False), (0.28, True)])
def test_slots_of_one_printer(slot, short):
    """Sizes within 0.2 mm (3 x 0.0667): two of them differ by 0.2 sqrt(2) = 0.283, whatever shrinkage both have."""
    settings = Settings.model_validate(
        {**BODY, "fits": {"slot": slot}, "printer": {"repeatability": 0.2 / 3, "shrink_uncertainty": [0.05] * 3}}
    )
    found = check_slot_lengths({"a": 250.0, "b": 100.0}, settings)
    assert bool(found) == short
    assert not found or (found[0].measured == pytest.approx(0.2 * math.sqrt(2)) and "1 more pairs" in found[0].text)


@pytest.mark.parametrize(("spacing", "short"), [(170.0, False), (190.0, True)])
def test_slots_of_two_printers(spacing, short):
    """Shrinkage of either known to 0.2 percent: 0.283 + 0.004 x 170 = 0.963, x 190 = 1.043, for a slot of 1."""
    printers = [{"id": name, "repeatability": 0.2 / 3, "shrink_uncertainty": [0.002] * 3} for name in ("a", "b")]
    found = check_slot_lengths({"x": spacing}, Settings.model_validate({**BODY, "printers": printers}))
    assert bool(found) == short


def test_points_far_apart():
    """Of a square's corners and many points inside, the corners."""
    corners = np.array([(0, 0, 0), (10, 0, 0), (10, 10, 0), (0, 10, 0)], float)
    inside = np.column_stack([np.random.default_rng(1).uniform(2, 8, (50, 2)), np.zeros(50)])
    chosen = spread_points(np.vstack([inside, corners]), 4)
    assert {tuple(point) for point in chosen} == {tuple(point) for point in corners}


def hardpoint(name, x, travel, along=X_AXIS):
    """Return a planned hardpoint on the x axis whose slot runs `along`."""
    from types import SimpleNamespace

    frame = SimpleNamespace(origin=(x, 0.0, 0.0), x=along)
    return SimpleNamespace(id=name, frame=frame, boss=SimpleNamespace(kind="hardpoint", travel=travel))


def heat(points, **material):
    """Return (findings, measures) for hardpoints of a body 1800 mm long, at most 30 K warmer than where it is built."""
    from types import SimpleNamespace

    from sections.checks.stackup import check_heat
    from sections.stackup.growth import heat_of

    data = {
        **BODY,
        "material": {"name": "ABS", **material},
        "stackup": {"highest_temperature": 50.0, "lowest_temperature": 20.0},
    }
    settings = Settings.model_validate(data)
    bounds = np.array([[0.0, 0, 0], [1800.0, 500, 400]])
    return check_heat(heat_of(SimpleNamespace(bosses=points), settings, bounds), settings)


@pytest.mark.parametrize(
    ("travel", "along", "reported"), [(1.7, X_AXIS, False), (1.6, X_AXIS, True), (5.0, Y_AXIS, True)]
)
def test_growth_between_hardpoints(travel, along, reported):
    """ABS and a steel donor, 1800 mm, 30 K: 3.337 apart. Two slots along the line give twice their travel, across it
    nothing."""
    points = [hardpoint("a", 0.0, travel, along), hardpoint("b", 1800.0, travel, along)]
    findings, measures = heat(points)
    assert ("growth-between" in [one.code for one in findings]) == reported
    grown = next(one.value for one in measures if one.name == "growth-between")
    assert grown == pytest.approx(3.337, abs=1e-3)


def test_a_given_expansion_of_none_is_none():
    """0 in the file is a value, not what the table says."""
    _, measures = heat([], expansion=0.0)
    assert next(one.value for one in measures if one.name == "growth") == 0.0
