"""What a cut leaves over: floors of openings that are not deep enough, and feathers; on parts of known size."""

import math
import re
from types import SimpleNamespace

import numpy as np
import pytest

from sections.checks.across_openings import check_across
from sections.checks.bed import check_bed
from sections.checks.built_parts import BodyTruth, BuiltSection
from sections.checks.thin import check_thin
from sections.numbers.frame import Frame, Plane
from sections.plan.model import PlannedSection
from sections.settings import Settings
from sections.settings.printer import PrinterTable
from sections.solids.distance import MeshDistance
from sections.solids.print_solid import PrintSolid

LEVEL = Frame((0.0, 0.0, 0.0), (1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0))


def box(low, high):
    return PrintSolid.box(np.array(low, float), np.array(high, float))


def built(solid, seams=()):
    section = PlannedSection("X0", None, (), LEVEL, (1.0, 1.0, 1.0), "", None, None)
    return BuiltSection(section, solid.mesh(), dict(seams), ())


def rules(length=300.0, nozzle=0.4):
    printer = PrinterTable(bed=[length, 300.0, 300.0], nozzle=nozzle)
    settings = Settings.model_validate({"name": "plate", "body": {"file": "plate.stl", "units": "mm"}}).model_copy(
        update={"printer": printer, "openings": [SimpleNamespace(id="rear", glass=None)]}
    )
    return SimpleNamespace(settings=settings, flange_reach=24.0)


BODY = box((-200, -100, -300), (200, 100, 0))
PLATE = box((0, -100, -4), (200, 100, 0)).unite([box((0, -100, -24), (6, 100, 0))])
SEAM = {"x1": Plane((1.0, 0.0, 0.0), 0.0)}


def truth_of(opening):
    cut = MeshDistance(opening.mesh())
    return BodyTruth(MeshDistance(BODY.mesh()), (cut,), np.empty((0, 3)), opening_ids=("rear",))


@pytest.mark.parametrize("depth, stands", [(10.0, True), (24.5, False)])
def test_a_flange_across_an_opening(depth, stands):
    """A cut of 60 x 40 into a wall of 4 with a flange 6 thick and 24 high at the seam it crosses: 10 deep it leaves a
    post of 6 x 40 across itself, 24.5 deep nothing."""
    opening = box((-1, -20, -depth), (60, 20, 20))
    part = built(PLATE.cut([opening]), SEAM)
    truth = BodyTruth(
        MeshDistance(BODY.mesh()), (MeshDistance(opening.mesh()),), np.empty((0, 3)), opening_ids=("rear",)
    )
    findings, measures = check_across(part, truth, rules())
    assert [f.code for f in findings] == (["across-opening"] if stands else [])
    assert measures[0].value == pytest.approx(240 if stands else 0, abs=8)
    if stands:
        text = findings[0].text
        assert "opening rear ends 10.0 mm below the skin: the flange of seam x1 stands across it" in text


@pytest.mark.parametrize("depth", [10.0, 24.5])
def test_too_long_names_the_opening(depth):
    """The same plate on a bed of 150 mm: what makes one of two halves is named where something stands across it."""
    opening = box((-1, -20, -depth), (60, 20, 20))
    truth = BodyTruth(
        MeshDistance(BODY.mesh()), (MeshDistance(opening.mesh()),), np.empty((0, 3)), opening_ids=("rear",)
    )
    (finding,) = check_bed(built(PLATE.cut([opening]), SEAM), truth, rules(150.0))[0]
    assert finding.code == "off-bed" and ("rear" in finding.text) == (depth == 10.0)


@pytest.mark.parametrize(
    "tip, found",
    [(0.3, True), (1.0, False), (None, False)],
    ids=["a feather 24 wide", "thicker than two lines", "an edge of 45 deg"],
)
def test_feather(tip, found):
    """A plate that runs out to a feather 24 mm wide and `tip` thick, 60 long; two lines of a 0.4 nozzle are 0.8."""
    if tip is None:
        solid = PrintSolid.hull(np.array([(x, y, z) for y in (0, 60) for x, z in [(0, 0), (40, 0), (0, 4), (44, 4)]]))
    else:
        solid = box((0, 0, 0), (40, 60, 4)).unite([box((39, 0, 0), (64, 60, tip))])
    findings, _ = check_thin(built(solid), None, rules())
    assert [(f.code, f.level) for f in findings] == ([("thin-edge", "note")] if found else [])
    if found:
        assert findings[0].measured == pytest.approx(tip, abs=0.01) and findings[0].where[0] == pytest.approx(52, abs=3)


@pytest.mark.parametrize("angle", [22.0, 25.0, 28.0, 35.0])
def test_an_edge_is_no_feather_where_it_is_steep(angle):
    """A wedge 40 long: looked through square to a face it is thinner than 0.8 over 0.8 / tan(angle) mm, which is more
    than two widths of 0.8 up to atan(1 / 2) = 26.6 deg; the note gives that width."""
    high = 30 * math.tan(math.radians(angle))
    corners = [(x, y, z) for y in (0, 40) for x, z in [(0, 0), (30, 0), (30, high)]]
    findings, _ = check_thin(built(PrintSolid.hull(np.array(corners))), None, rules())
    assert len(findings) == (angle < 26.6)
    for finding in findings:
        long, wide = map(float, re.search(r"over (\S+) x (\S+) mm", finding.text).groups())
        assert long == pytest.approx(40, abs=1) and wide == pytest.approx(0.8 / math.tan(math.radians(angle)), abs=0.1)
