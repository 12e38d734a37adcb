"""Edges of openings: a crate with a rim, a pane and a hatch as built, in both solids, and parts that fail by known
amounts."""

import shutil
from dataclasses import replace

import numpy as np
import pytest

from sections.checks.opening import check_gap, check_openings
from sections.coupons.gauges import gauges
from sections.numbers.frame import make_frame
from sections.numbers.mesh import Mesh
from sections.solids.print_solid import PrintSolid
from sections.solids.tessellate import tessellate
from tests.checks.test_checks_bite import codes, doctored
from tests.shared import CRATE, build_from

pytestmark = pytest.mark.xdist_group("edged")

EDGED = """
rim = { height = 14, thickness = 4 }

[[openings]]
id = "pane"
kind = "profile"
along = "y"
points = [[30, 50], [120, 50], [120, 100], [30, 100]]
start = 60
stop = 160
corner = 22
mirror = true
glass = { thickness = 5, bead = 3, width = 12 }

[[openings]]
id = "hatch"
kind = "profile"
along = "z"
points = [[60, -60], [270, -60], [270, 60], [60, 60]]
start = 80
stop = 180
corner = 30
rim = {}
panel = { gap = 4, seams = ["x1"] }
"""


@pytest.fixture(scope="module")
def edged(tmp_path_factory):
    folder = tmp_path_factory.mktemp("edged")
    shutil.copy(CRATE / "crate.py", folder)
    (folder / "crate.toml").write_text((CRATE / "crate.toml").read_text() + EDGED)
    return build_from(folder / "crate.toml", tmp_path_factory)


def box(low, high):
    return PrintSolid.box(np.array(low, float), np.array(high, float))


def judged(edged, part):
    return check_openings(part, edged.truth, edged.rules)


def read(result, name):
    return next(measure.value for measure in result[1] if measure.name == name)


def test_as_built(edged):
    assert [str(finding) for finding in edged.report.findings if finding.level != "note"] == []
    ids = {section.id for section in edged.plan.sections}
    assert ids == {"X0R", "X0L", "X1R", "X1L", "X0C-HATCH", "X1C-HATCH"}
    whys = {part.id: part.step_why for part in edged.manifest.parts if part.kind == "section" and part.step != "exact"}
    assert whys == {}
    bonds = [measure.value for measure in edged.report.measures if measure.name == "glass-bond"]
    assert bonds and max(abs(bond - 12) for bond in bonds) < 0.1
    joined = [pair.id for pair in edged.plan.pairs if "HATCH" in pair.id]
    assert joined == ["x1:X0C-HATCH+X1C-HATCH"], "the panel is joined to itself alone"
    assert not any({"HATCH" in one for one in (*s.moved, *s.onto)} == {True, False} for s in edged.plan.assembly)


def test_the_rebate_in_section(edged):
    """The pane's rebate cut through at x = 75: a side 110 out, the opening 50 to 100 high. By hand: the seat 5 + 3
    below the skin from the opening's side to 12 within, its back 4 deeper; beside it the rim, 4 thick."""
    part = edged.section("X0R")
    cut = part.solid.section_at(
        make_frame(np.array([75.0, 0, 0]), np.column_stack([[0, 1.0, 0], [0, 0, 1], [1, 0, 0]]))
    )
    inside = lambda y, z: any(one.contains_properly(point(y, z, cut)) for one in cut.geoms)  # noqa: E731
    for y, z, there in [
        (109.9, 49.9, True), (109.9, 50.1, False), (102.1, 50.1, False), (101.9, 50.1, True), (98.1, 61.9, True),
        (97.9, 61.9, False), (101.9, 62.1, False), (98.1, 46.1, True), (98.1, 45.9, False), (106.1, 45.9, True),
        (101.9, 99.9, True), (102.1, 99.9, False), (101.9, 87.9, False), (98.1, 103.9, True), (98.1, 104.1, False),
    ]:  # fmt: skip
        assert inside(y, z) == there, (y, z)


def point(y, z, cut):
    from shapely import Point

    # The frame's x is vehicle y, its y vehicle z.
    return Point(y, z)


def test_the_shut_gap(edged):
    """4 mm at straight sides and round the corners: the nearest of two offset outlines, to what facets leave (0.1)."""
    panel = edged.section("X0C-HATCH")
    around = [edged.section(name) for name in ("X0R", "X0L", "X1R", "X1L")]
    findings, measures = check_gap(panel, around, "hatch", edged.truth, edged.rules)
    assert findings == []
    assert [m.value for m in measures] == [pytest.approx(4.0, abs=0.1)] * 2
    total = sum(edged.section(s.id).solid.common(panel.solid).volume_mm3 for s in edged.plan.sections if not s.panel)
    assert total == 0


@pytest.mark.parametrize(("by", "found"), [(0.1, []), (0.6, ["panel-gap"])])
def test_a_panel_put_in_askew(edged, by, found):
    panel = doctored(edged.section("X0C-HATCH"), move=(0.0, by, 0.0))
    around = [edged.section(name) for name in ("X0R", "X0L")]
    asked = replace(edged.truth, openings=tuple(edged.truth.openings))
    findings, measures = check_gap(panel, around, "hatch", _shifted(asked, by), edged.rules)
    assert sorted({f.code for f in findings}) == found
    assert min(m.value for m in measures) == pytest.approx(4.0 - by, abs=0.1)


def _shifted(truth, by):
    """The truth with its openings where the panel's sides now are, so that they are found."""
    from sections.solids.distance import MeshDistance

    moved = tuple(MeshDistance(Mesh(o.mesh.vertices + [0, by, 0], o.mesh.faces)) for o in truth.openings)
    return replace(truth, openings=moved)


@pytest.mark.parametrize(("by", "found"), [(0.1, []), (0.5, ["glass-seat-least"])])
def test_a_seat_built_up(edged, by, found):
    """A pad on the bond flange, 110 - 8 = 102 out."""
    proud = doctored(edged.section("X0R"), add=[box([70, 101, 51], [80, 102 + by, 58])])
    result = judged(edged, proud)
    assert codes(result) == found
    assert read(result, "glass-seat-least") == pytest.approx(8 - by, abs=0.02)


def test_a_seat_cut_into(edged):
    low = doctored(edged.section("X0R"), cut=[box([70, 101.3, 51], [80, 103, 58])])
    result = judged(edged, low)
    assert codes(result) == ["glass-seat-most"]
    assert read(result, "glass-seat-most") == pytest.approx(8.7, abs=0.02)


@pytest.mark.parametrize(("left", "found"), [(11.8, []), (9.0, ["glass-bond"]), (0.0, ["glass-bond"])])
def test_a_bond_flange_cut_back(edged, left, found):
    back = doctored(edged.section("X0R"), cut=[box([60, 90, 50 + left], [90, 103, 70])])
    result = judged(edged, back)
    assert codes(result) == found
    assert read(result, "glass-bond") == pytest.approx(min(left, 12), abs=0.05)


def test_a_pane_with_tighter_corners_than_can_be_cut(edged):
    """The opening's corners have a radius of 22: enough for 20, not for 24."""

    def with_corner(radius):
        openings = [
            o.model_copy(update={"glass": o.glass.model_copy(update={"corner": radius})}) if o.glass else o
            for o in edged.settings.openings
        ]
        settings = edged.settings.model_copy(update={"openings": openings})
        return check_openings(edged.section("X0R"), edged.truth, replace(edged.rules, settings=settings))

    assert codes(with_corner(20.0)) == []
    reported = with_corner(24.0)
    assert codes(reported) == ["glass-corner"] and read(reported, "glass-corner") == pytest.approx(22, abs=1.1)


@pytest.mark.parametrize(("by", "found"), [(0.2, []), (3.0, ["rim-height"])])
def test_a_rim_filed_down(edged, by, found):
    """The floor's return flange beside y = 80, 14 high: its inner edge is at z = 14."""
    filed = doctored(edged.section("X1R"), cut=[box([200, 79, 14 - by], [240, 85, 15])])
    result = judged(edged, filed)
    assert codes(result) == found
    assert min(m.value for m in result[1] if m.name == "rim-height") <= 14 - by + 0.01


def test_a_rim_thinned_from_behind(edged):
    thin = doctored(edged.section("X1R"), cut=[box([200, 82.5, 6], [240, 85, 13])])
    result = judged(edged, thin)
    assert "rim-thickness" in codes(result)
    assert min(m.value for m in result[1] if m.name == "rim-thickness") == pytest.approx(2.5, abs=0.02)


def test_gauges(edged):
    """The rebate's gauge, put over its lower edge at x = 75, rests on skin and seat at once: it goes in whole, and no
    fifth of a millimetre deeper. Of the gap's feeler one end goes in, the other does not."""
    made = {gauge.id: gauge for gauge in gauges(edged.settings)}
    assert set(made) == {"gauge-pane", "gauge-hatch"}
    part = edged.section("X0R")
    solid = PrintSolid.of(tessellate(made["gauge-pane"].solid.wrapped, 0.01, "gauge").mesh)
    # Its x out of the opening: down; its y off the skin: along y; its z along the edge, its middle at x = 75.
    rotation = np.column_stack([[0, 0, -1.0], [0, 1, 0], [1, 0, 0]])
    for deeper, free in ((0.0, True), (0.2, False)):
        placed = solid.placed(make_frame(np.array([95.0, 110.0 - deeper, 50.0]), rotation))
        assert (part.solid.common(placed).volume_mm3 < 0.5) == free, deeper
    feeler = tessellate(made["gauge-hatch"].solid.wrapped, 0.01, "gauge").mesh
    thin, thick = (
        np.ptp(feeler.vertices[side, 2]) for side in (feeler.vertices[:, 0] < -25, feeler.vertices[:, 0] > 25)
    )
    assert (thin, thick) == (pytest.approx(3.5), pytest.approx(4.5))
