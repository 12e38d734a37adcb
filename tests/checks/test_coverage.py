"""What of the body as it came lies on the sections: areas of boxes and balls, in closed form."""

import re
from types import SimpleNamespace

import numpy as np
import pytest
import trimesh

from sections.checks.built_parts import BodyTruth, BuiltSection
from sections.checks.coverage import check_coverage, read_coverage
from sections.checks.skin import read_skin
from sections.numbers.even_directions import even_directions
from sections.numbers.frame import Frame
from sections.numbers.mesh import Mesh, join
from sections.plan.model import PlannedSection
from sections.settings import Settings
from sections.solids.as_given import AsGiven, as_given
from sections.solids.distance import MeshDistance
from sections.solids.print_solid import PrintSolid
from tests.shared import command

LEVEL = Frame((0.0, 0.0, 0.0), (1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0))
BODY = {"file": "body.stl", "units": "mm"}


def box(low, high):
    return PrintSolid.box(np.array(low, float), np.array(high, float)).mesh()


def ball(radius, at=(0.0, 0.0, 0.0)):
    made = trimesh.creation.icosphere(4, radius)
    return Mesh(np.array(made.vertices) + at, np.array(made.faces))


def built(mesh, name="X0"):
    return BuiltSection(PlannedSection(name, None, (), LEVEL, (1.0, 1.0, 1.0), "", None, None), mesh, {}, ())


def looked_at(given, parts, skin=None, covered=99.0):
    """What the check says of sections, of a body that came as `given`."""
    settings = Settings.model_validate({"name": "x", "body": BODY, "checks": {"covered": covered}})
    truth = BodyTruth(MeshDistance(skin or join(parts)), (), np.empty((0, 3)), given=given)
    sections = [built(mesh, f"X{number}") for number, mesh in enumerate(parts)]
    readings = [read_coverage(part, truth) for part in sections]
    findings, measures = check_coverage(readings, truth, SimpleNamespace(settings=settings))
    return findings, {measure.name: measure.value for measure in measures}


HALVES = [box((0, 0, 0), (100, 80, 60)), box((100, 0, 0), (200, 80, 60))]
# mm2, of a box of 200 x 80 x 60.
AREA = 2 * (200 * 80 + 200 * 60 + 80 * 60)


def test_all_of_it():
    findings, read = looked_at(as_given(box((0, 0, 0), (200, 80, 60)), 0.1), HALVES)
    assert findings == [] and read == {"body-covered": 100.0}


@pytest.mark.parametrize("high, lost", [(20.0, True), (1.0, False)])
def test_a_fin_is_gone(high, lost):
    """A fin 50 long and 2 thick that the sections lack: its sides, its ends and its top are of the body's area. Its
    lowest 0.2 mm are within mesh.deviation and what was allowed."""
    whole = PrintSolid.of(box((0, 0, 0), (200, 80, 60)), "box")
    fin = whole.unite([PrintSolid.of(box((80, 39, 59), (130, 41, 60 + high)), "fin")]).mesh()
    area = 2 * (50 + 2) * (high - 0.2) + 50 * 2
    findings, read = looked_at(as_given(fin, 0.1), HALVES)
    share = 100 * area / (AREA + 2 * (50 + 2) * high)
    assert 100 - read["body-covered"] == pytest.approx(share, rel=0.15, abs=0.1)
    assert read["body-left-out"] == pytest.approx(area, rel=0.15)
    (finding,) = findings
    assert (finding.code, finding.level) == (("body-lost", "fault") if lost else ("body-left-out", "note"))
    at = [float(number) for number in re.search(r"about \(([^)]*)\)", finding.text)[1].split(", ")]
    assert at == pytest.approx([105, 40, 60 + high / 2], abs=6) and "outside the built skin" in finding.text
    assert looked_at(as_given(fin, 0.1), HALVES, covered=90)[0][0].level == "note"


def test_a_recess_is_closed():
    """A trough 60 wide and 30 deep across the box, closed in the sections: its floor and sides are missed, inside."""
    cut = PrintSolid.of(box((60, -1, 30), (120, 81, 61)), "cut")
    trough = PrintSolid.of(box((0, 0, 0), (200, 80, 60)), "box").cut([cut]).mesh()
    findings, read = looked_at(as_given(trough, 0.1), HALVES)
    assert read["body-left-out"] == pytest.approx(60 * 80 + 2 * 30 * 80, rel=0.1)
    (finding,) = findings
    assert finding.level == "fault" and "30 mm inside the built skin" in finding.text


def test_what_was_allowed():
    """A skin that was moved by 0.5 mm, where the repair was allowed that, and where it was not."""
    moved = (
        Mesh(HALVES[0].vertices - [0, 0, 0.5], HALVES[0].faces),
        Mesh(HALVES[1].vertices - [0, 0, 0.5], HALVES[1].faces),
    )
    whole = box((0, 0, 0), (200, 80, 60))
    assert looked_at(as_given(whole, 0.5), moved)[0] == []
    findings, read = looked_at(as_given(whole, 0.1), moved)
    # Its top and its bottom are two of three.
    assert findings[0].level == "fault" and 100 - read["body-covered"] == pytest.approx(100 * 32000 / AREA, abs=2)


@pytest.mark.parametrize("turned", [False, True])
def test_what_nobody_sees(turned):
    """A ball of 40 in a ball of 100, and the part of a ball that lies in another: not asked for."""
    inner = ball(40.0)
    given = as_given(join([ball(100.0), Mesh(inner.vertices, inner.faces[:, ::-1] if turned else inner.faces)]), 0.1)
    assert np.linalg.norm(given.points, axis=1).min() > 99
    # Two balls of 100, 100 apart: a cap of height 50, a quarter of each ball, lies in the other.
    given = as_given(join([ball(100.0), ball(100.0, (100.0, 0.0, 0.0))]), 0.1)
    assert len(given.points) * given.area_mm2 == pytest.approx(1.5 * 4 * np.pi * 100**2, rel=0.02)


@pytest.mark.parametrize("laid", [1, 2])
def test_a_sheet(laid):
    """A sheet is seen from either side; where it lies there twice, too."""
    sheet = Mesh(np.array([[0.0, 0, 0], [300, 0, 0], [300, 200, 0], [0, 200, 0]]), np.array([[0, 1, 2], [0, 2, 3]]))
    given = as_given(join([sheet] * laid), 0.1)
    assert len(given.points) * given.area_mm2 == pytest.approx(laid * 300 * 200, rel=1e-6)


def test_nothing_seen():
    findings, measures = looked_at(AsGiven(np.empty((0, 3)), 1.0, 0.1), HALVES)
    assert [finding.level for finding in findings] == ["unmeasured"] and measures == {}


def test_taken_as_it_came():
    """Then the points of its own skin are read, and a place that is missed is a finding of the skin, not of this."""
    points = np.vstack([ball(50.0).vertices, [[0.0, 0.0, 80.0]]])
    truth = BodyTruth(MeshDistance(ball(50.0)), (), points)
    part = built(ball(50.0))
    assert read_coverage(part, truth) is None
    settings = Settings.model_validate({"name": "x", "body": BODY})
    findings, (measure,) = check_coverage([read_skin(part, truth)], truth, SimpleNamespace(settings=settings))
    assert findings == [] and measure.value == pytest.approx(100 * (1 - 1 / len(points)))


def test_directions_are_even():
    """Of a ball, the mean of x**2 is 1/3 whichever way x points, and the mean of x is 0; of a half ball, 1/2 upward."""
    ways = even_directions(96)
    assert np.allclose(np.linalg.norm(ways, axis=1), 1) and np.abs(ways.mean(0)).max() < 0.02
    assert np.abs(ways.T @ ways / 96 - np.eye(3) / 3).max() < 0.02
    assert even_directions(200, half=True).mean(0) == pytest.approx([0, 0, 0.5], abs=0.02)


PLATE = """name = "it"
[body]
file = "it.stl"
units = "mm"
[repair]
limit = 0.5
{repair}
[bolts]
size = "M4"
[seams]
planes = []
[output]
formats = ["stl"]
"""


def test_the_command(tmp_path):
    """A block with a block through it, united: all that is seen of both is there. Of the second block standing clear,
    taken out as a small surface: its share of the area is missing."""
    first, through = trimesh.creation.box((180, 160, 120)), trimesh.creation.box((60, 60, 200))
    trimesh.util.concatenate([first, through]).export(tmp_path / "it.stl")
    (tmp_path / "it.toml").write_text(PLATE.format(repair="envelope = true"))
    code, _, said = command("build", tmp_path / "it.toml", "--out", tmp_path / "out")
    # It is one closed box: a void that nobody gets into.
    assert code == 1 and re.findall(r"^([a-z-]+)  \S", said, re.MULTILINE) == ["sealed-void"], said
    assert _covered(tmp_path / "out" / "it") == pytest.approx(100.0, abs=0.2)
    through.apply_scale(0.5)
    through.apply_translation([0, 0, 150])
    trimesh.util.concatenate([first, through]).export(tmp_path / "it.stl")
    (tmp_path / "it.toml").write_text(PLATE.format(repair="small_shells = 115"))
    code, _, said = command("build", tmp_path / "it.toml", "--out", tmp_path / "out")
    assert code == 1 and "body-lost" in said and "outside the built skin" in said
    share = through.area / (through.area + first.area)
    assert 100 - _covered(tmp_path / "out" / "it") == pytest.approx(100 * share, rel=0.1)


def _covered(out):
    read = (out / "findings.json").read_text()
    return float(re.search(r'"body-covered".{0,80}?"(?:value|measured)": ([\d.]+)', read, re.DOTALL)[1])
