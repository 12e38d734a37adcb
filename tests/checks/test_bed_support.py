"""Parts on the bed: what tips over is found, and its foot holds it and comes off. Statics by hand; 45 deg and two
nozzle lines: common practice, no source."""

from dataclasses import replace
from types import SimpleNamespace

import manifold3d
import numpy as np
import pytest
import shapely
import trimesh

from sections.building.foot import make_foot
from sections.checks.bed_support import check_standing
from sections.checks.built_parts import BuiltSection
from sections.export.files import PartFiles, write_part
from sections.measuring.reading import read_part
from sections.numbers.frame import Frame
from sections.numbers.mesh import NO_GROWTH, Mesh, join
from sections.plan.foot import GAP, foot_for
from sections.plan.model import PlannedSection
from sections.settings.making import PoseTable
from sections.solids.layers import layered
from sections.solids.print_solid import PrintSolid

LEVEL = Frame((0.0, 0.0, 0.0), (1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0))
RULES = SimpleNamespace(settings=SimpleNamespace(pose=PoseTable()))
BED = np.array([[-100.0, -100.0], [200.0, 200.0]])


def box(low, high):
    return PrintSolid.box(np.array(low, float), np.array(high, float))


def bracket(reach):
    """An L upside down: a leg of 40 x 40 x 60, and above it a top 20 thick that reaches so far, mm."""
    return box((0, 0, 0), (40, 40, 60)).unite([box((0, 0, 60), (reach, 40, 80))])


def leaning_wall():
    """A wall 4 mm thick and 80 high, 60 long, on an edge 1.2 wide: it leans by 10 deg."""
    out = 80 * np.tan(np.radians(10))
    low = [(x, y, 0) for x in (1.4, 2.6) for y in (0, 60)]
    return PrintSolid.hull(
        np.array([*low, *((x + out, y, z) for x in (0, 4) for y in (0, 60) for z in (3, 80))], float)
    )


def built(solid, foot=True, thickness=1.2):
    """Return a section as its file would have it, with the foot it is planned to have and, made, in place."""
    mesh = solid.mesh()
    planned_foot = foot_for(
        layered(solid, 10.0), solid.volume_mm3 * 1.27e-6, np.ptp(mesh.vertices[:, 2]), thickness, BED
    )
    made = None if planned_foot is None or not foot else make_foot(mesh, planned_foot, NO_GROWTH, "a section")
    section = PlannedSection("X0", None, (), LEVEL, (1.0, 1.0, 1.0), "", None, None, foot=planned_foot)
    return BuiltSection(section, mesh, {}, (), made)


def by_manifold(mesh):
    """Return a mesh as manifold3d has it, whose own least gap between two is the other library's word."""
    return manifold3d.Manifold(manifold3d.Mesh64(np.array(mesh.vertices), np.array(mesh.faces, np.uint64)))


def judged(part):
    findings, measures = check_standing(part, None, RULES)
    return [(f.code, f.level) for f in findings if f.code != "needs-support"], {m.name: m.value for m in measures}


@pytest.mark.parametrize("reach, tips", [(80.0, False), (140.0, True)])
def test_tips(reach, tips):
    """The centre of mass of an L past its leg: two boxes, by hand."""
    middle = (96_000 * 20 + reach * 40 * 20 * reach / 2) / (96_000 + reach * 40 * 20)
    found, measures = judged(built(bracket(reach), foot=False, thickness=0.0))
    assert found == ([("tips", "fault")] if tips else [])
    assert measures["lean"] == pytest.approx(max(middle - 40, -20), abs=0.1)


@pytest.mark.parametrize("solid", [bracket(140.0), leaning_wall()], ids=["top-heavy", "on an edge"])
def test_a_foot_holds(solid):
    """What tips over without a foot stands with one; that is closed, on the bed and a gap off the section, which
    manifold3d reads from the two meshes."""
    part = built(solid)
    assert judged(part)[0] == []
    assert judged(replace(part, foot=None))[0] == [("tips", "fault")]
    foot = trimesh.Trimesh(part.foot.vertices, part.foot.faces)
    assert foot.is_watertight and foot.volume > 0 and foot.bounds[0, 2] == 0
    gap = by_manifold(part.printed).min_gap(by_manifold(part.foot), 5.0)
    assert 0.8 * GAP < gap < 0.1, "it would not come off, or not hold"


def test_the_foot_reaches_under_the_centre_of_mass():
    """Of an L whose centre of mass is by hand: the foot's own outline goes 10 mm past it (less what an outline of
    straight lines leaves)."""
    part = built(bracket(140.0))
    middle = (96_000 * 20 + 112_000 * 70) / 208_000
    plate = shapely.Polygon(part.planned.foot.outline)
    assert plate.contains(shapely.Point(middle, 20).buffer(9.0))
    assert part.foot.bounds[1, 0] > middle + 9


def test_a_plate_is_as_thick_as_it_is_bent():
    """Three times its weight, at the arm by which the centre of mass is out, on a strip as wide as the leg: 6 M / (b
    t^2) (a cantilever's bending stress, from memory), at 10 MPa (common practice, no source). A lead-heavy L."""
    solid, lean = bracket(140.0), (96_000 * 20 + 112_000 * 70) / 208_000 - 40
    mass = 2.36
    plate = foot_for(layered(solid, 10.0), mass, 80.0, 0.2, BED).plate
    asked = np.sqrt(6 * 3 * 9.81 * mass * lean / (10 * 40))
    assert asked <= plate < asked + 0.21


@pytest.mark.parametrize(
    "moved, text",
    [((0.04, 0, 0), "grows into it"), ((5, 0, 0), "does not come near"), ((0, 0, 0.5), "does not lie on the bed")],
)
def test_a_foot_gone_wrong(moved, text):
    """A foot moved into the section, off it, or off the bed."""
    part = built(bracket(140.0))
    # What reaches round the leg on its three other sides is taken off, so that it can be moved away.
    one_sided = PrintSolid.of(part.foot, "").common(box((40.01, -50, -1), (200, 90, 50))).mesh()
    assert judged(replace(part, foot=one_sided))[0] == []
    wrong = Mesh(one_sided.vertices + np.array(moved) * [-1 if "grows" in text else 1, 1, 1], one_sided.faces)
    findings, _ = check_standing(replace(part, foot=wrong), None, RULES)
    assert [text in f.text for f in findings if f.code == "foot"] == [True]


def test_a_foot_that_is_locked_in():
    """A tongue of the foot lies on a ledge of the section: it comes off no way straight down."""
    part = built(bracket(140.0).cut([box((36, 10, 0.6), (41, 30, 6))]))
    tongue = PrintSolid.of(part.foot, "").unite([box((36.3, 11, 0.9), (45, 29, 1.2))])
    assert judged(part)[0] == []
    findings, _ = check_standing(replace(part, foot=tongue.mesh()), None, RULES)
    assert ["straight off" in f.text for f in findings if f.code == "foot"] == [True]


def test_none_where_it_stands_or_none_is_wanted():
    assert built(bracket(60.0)).planned.foot is None
    assert built(bracket(140.0), thickness=0.0).planned.foot is None


def test_support_is_a_note_with_its_place():
    """Under a top of 100 x 40 past the leg; a step of 2 mm at 46 deg stands."""
    findings, _ = check_standing(built(bracket(140.0)), None, RULES)
    (note,) = [f for f in findings if f.code == "needs-support"]
    assert note.level == "note" and note.measured == pytest.approx((100 - 2 * np.tan(np.radians(46))) * 40, rel=0.01)
    assert 60 < note.where[0] < 120 and note.where[2] == pytest.approx(60, abs=1.5)


def test_it_comes_back_from_the_file(tmp_path):
    """A foot is written into the section's print file as a shell of its own, and reported from it by its height."""
    from sections.export.files import PartFiles, write_part
    from sections.export.manifest import PartRecord
    from sections.measuring.reading import read_part
    from sections.numbers.mesh import join
    from sections.settings.making import MaterialTable

    part = built(bracket(140.0))
    files = write_part(PartFiles("X0", "sections", join([part.printed, part.foot])), tmp_path, ["stl", "3mf"],
                       MaterialTable())  # fmt: skip
    record = PartRecord("X0", "section", 1, False, files, 1.0, 1.0, (1, 1, 1), "", (), (),
                        foot_height=float(part.foot.size[2]))  # fmt: skip
    read = read_part(tmp_path, record)
    assert read.volume_mm3 == pytest.approx(208_000, rel=1e-5)
    whole = trimesh.load(tmp_path / next(file.path for file in files if file.format == "stl"))
    assert whole.body_count == 2


@pytest.mark.parametrize(("high", "given"), [(1.4, False), (3.0, True)])
def test_none_higher_than_its_section(high, given):
    """A plate past a base of 10 x 40, its centre of mass out: lower than the foot would be, it gets none, for the two
    could not be told apart in the file."""
    plate = box((0, 0, 0), (10, 40, high / 2)).unite([box((0, 0, high / 2), (60, 40, high))])
    assert (built(plate).foot is not None) == given


def test_a_void_is_no_foot(tmp_path):
    """A section with a foot and, lower than that is, a sealed void: what is read back has kept the void."""
    part = built(bracket(140.0))
    hollow = PrintSolid.of(part.printed, "").cut([box((15, 15, 0.2), (25, 25, 0.9))]).mesh()
    record = write_part(PartFiles("X0", "sections", join([hollow, part.foot])), tmp_path, ["stl"], "PETG")
    made = SimpleNamespace(files=record, growth=NO_GROWTH, foot_height=float(part.foot.size[2]))
    assert read_part(tmp_path, made).volume_mm3 == pytest.approx(208_000 - 70, abs=0.1)
