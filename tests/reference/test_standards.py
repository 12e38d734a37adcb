"""Tables against libraries that carry them, and against each other."""

import csv
import importlib.metadata

import pressfit
import pytest

from sections.standards import fastener, fastener_sizes, insert, pin_diameters, screw_length
from sections.standards.pins import pin_limits

# ISO 273 from M12 on steps by half millimetres; the library below has whole ones there and is wrong.
RIGHT_M12 = {"fine": 13.0, "medium": 13.5, "coarse": 14.5}


def library(name):
    """The rows of a table of bd-warehouse 0.4.0, by their first column up to a dash: M3 of M3-0.5."""
    try:
        files = importlib.metadata.files("bd-warehouse") or []
    except importlib.metadata.PackageNotFoundError:
        pytest.skip("bd-warehouse is not installed: pip install --no-deps bd-warehouse==0.4.0")
    path = next(file for file in files if file.name == name).locate()
    with open(path, newline="") as text:
        return list(csv.DictReader(text))


def library_row(name, size):
    rows = library(name)
    first = next(iter(rows[0]))
    # Fine pitches have rows of their own.
    own = [r for r in rows if r[first].split("-")[0] == size]
    coarse = f"{size}-{fastener(size).pitch:g}"
    return {key.strip(): value for key, value in next((r for r in own if r[first] == coarse), own[0]).items()}


def library_holes():
    rows = library("clearance_hole_sizes.csv")
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


@pytest.mark.parametrize("size", fastener_sizes())
def test_screws_washers_and_nuts_are_those_of_the_library(size):
    """Against bd-warehouse 0.4.0: ISO 4762 (its dk is the knurled head's), ISO 7089 (its h the greatest), ISO 4032."""
    row, screw = fastener(size), library_row("socket_head_cap_parameters.csv", size)
    names = {"dk": "head_knurled", "k": "head_height", "s": "key_flats", "t": "key_depth"}
    names |= {"short": "shortest", "long": "longest"}
    for theirs, ours in names.items():
        assert getattr(row, ours) == float(screw[f"iso4762:{theirs}"]), ours
    washer = library_row("plain_washer_parameters.csv", size)
    assert (row.washer_inner, row.washer_outer, row.washer_thickest) == tuple(
        float(washer[f"iso7089:{name}"]) for name in ("d1", "d2", "h")
    )
    nut = library_row("hex_nut_parameters.csv", size)
    assert (row.nut_flats, row.nut_height) == (float(nut["iso4032:s"]), float(nut["iso4032:m"]))


@pytest.mark.parametrize("size", fastener_sizes())
@pytest.mark.parametrize("asked", [4.2, 12.0, 12.01, 17.0, 33.0, 59.0, 200.0])
def test_screw_lengths_are_those_of_iso_4762(size, asked):
    """The shortest of bd-warehouse's ISO 4762 lengths, within what it lists for the size, that is long enough."""
    lengths = next(r for r in library("nominal_screw_lengths.csv") if r["Screw_Type"] == "iso4762")["Nominal_Sizes"]
    row = library_row("socket_head_cap_parameters.csv", size)
    listed = [float(x) for x in lengths.split(",")]
    listed = [x for x in listed if float(row["iso4762:short"]) <= x <= float(row["iso4762:long"])]
    assert screw_length(size, asked) == next((x for x in listed if x >= asked), None)


@pytest.mark.parametrize(("size", "name"), [("M3", "M3-0.5"), ("M4", "M4-0.7"), ("M5", "M5-0.8")])
def test_inserts_are_one_makers(size, name):
    """Outer diameter and lengths, standard and short, against the first maker of bd-warehouse 0.4.0's table."""
    rows = {r["Size"]: r for r in library("heatset_nut_parameters.csv")}
    columns = list(next(iter(rows.values())))
    kinds = [rows[f"{name}-{kind}"] for kind in ("Standard", "Short") if f"{name}-{kind}" in rows]
    assert insert(size).outer == float(kinds[0][columns[1]])
    assert insert(size).lengths == tuple(float(kind[columns[2]]) for kind in kinds)


@pytest.mark.parametrize(("size", "names"), [("M6", ["M6-1-12.7", "M6-1-6.8"]), ("M8", ["M8-1.25-12.7"])])
def test_large_inserts_are_one_makers(size, names):
    """M6 and M8 against the fourth maker of that table: outer diameter, lengths, least plastic; the hole wider than the
    body below the knurl and narrower than the knurl; drills O and W, 0.316 and 0.386 in (ANSI letters, from memory)."""
    table = library("heatset_nut_parameters.csv")
    # After the size seven columns a maker.
    outer, length, body, _, wall, drill, _ = list(table[0])[1 + 3 * 7 : 1 + 4 * 7]
    kinds = [next(row for row in table if row["Size"] == name and row[outer]) for name in names]
    made, first = insert(size), kinds[0]
    assert (made.outer, made.wall) == (float(first[outer]), float(first[wall]))
    assert made.lengths == tuple(float(kind[length]) for kind in kinds)
    assert float(first[body]) < made.hole < made.outer
    assert made.hole == pytest.approx({"O": 0.316, "W": 0.386}[first[drill].strip()] * 25.4, abs=0.01)


def test_bolt_rules_of_en_1993_1_8():
    """Table 3.3: edge distance 1.2 d0, pitch 2.2 d0 to the smaller of 14 t and 200 mm."""
    from sections.settings.joints import BoltsTable
    from sections.standards.fasteners import PITCH_MIN_PER_HOLE, longest_pitch

    assert PITCH_MIN_PER_HOLE == 2.2
    assert longest_pitch(6.0) == 84.0
    assert longest_pitch(20.0) == 200.0
    assert BoltsTable.model_fields["edge_distance"].metadata[0].ge == 1.2
