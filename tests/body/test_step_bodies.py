"""STEP files as builders have them: faces never sewn, several solids, shells, parts that are not the body.

Volumes are closed forms: boxes, round corners of radius r are (1 - pi / 4) r^2 short of square ones.
"""

import math

import cadquery as cq
import numpy as np
import pytest
from OCP.BRep import BRep_Builder
from OCP.STEPCAFControl import STEPCAFControl_Writer
from OCP.STEPControl import STEPControl_StepModelType
from OCP.TCollection import TCollection_ExtendedString
from OCP.TDataStd import TDataStd_Name
from OCP.TDocStd import TDocStd_Document
from OCP.TopoDS import TopoDS_Compound, TopoDS_Shell, TopoDS_Solid
from OCP.XCAFDoc import XCAFDoc_DocumentTool

from sections.body import load_body
from sections.errors import BadInput
from sections.settings import load_settings
from sections.solids.exact_solid import ExactSolid

SIZE, ROUND = (400.0, 200.0, 120.0), 30.0
CORNER = (1 - math.pi / 4) * ROUND**2 * SIZE[2]
VOLUME = math.prod(SIZE) - 4 * CORNER


def rounded_box():
    return cq.Workplane().box(*SIZE).edges("|Z").fillet(ROUND).val()


def in_one(shapes):
    compound, builder = TopoDS_Compound(), BRep_Builder()
    builder.MakeCompound(compound)
    for shape in shapes:
        builder.Add(compound, shape.wrapped)
    return cq.Compound(compound)


def moved(shape, by):
    return shape.moved(cq.Location(cq.Vector(*by)))


def body_of(folder, shape, keys=""):
    """What the file of a shape becomes; keys : more of the parameter file, those of [body] first."""
    if shape is not None:
        cq.exporters.export(cq.Workplane(obj=shape), str(folder / "body.step"))
    (folder / "body.toml").write_text(f'name = "box"\n[body]\nfile = "body.step"\nunits = "mm"\n{keys}')
    return load_body(load_settings(folder / "body.toml"), folder)


def refused(folder, shape, keys=""):
    with pytest.raises(BadInput) as error:
        body_of(folder, shape, keys)
    return error.value.problems


def exact_volume(body):
    return sum(solid.volume_mm3 for solid in body.exact.solids)


class TestSewing:
    def test_faces_never_sewn(self, tmp_path):
        """Refused with the key that helps; with it the exact solid that the faces bound, nothing moved."""
        loose = in_one(rounded_box().Faces())
        problem = refused(tmp_path, loose)[0]
        assert "10 open shells" in problem.limit and "repair.sew" in problem.remedy
        body = body_of(tmp_path, None, "[repair]\nsew = 0.01")
        assert len(body.exact.solids) == 1 and exact_volume(body) == pytest.approx(VOLUME, rel=1e-9)
        assert body.exact.solids[0].is_valid
        assert any("10 open shells became 1 closed shell; 24 edges joined; faces moved by at most 0 mm" in note
                   for note in body.notes)  # fmt: skip

    def test_faces_off_by_hundredths(self, tmp_path):
        """Each face shifted by its own 0.05 mm: a sewing of 0.01 leaves edges and says where; one of 0.2 closes it, and
        says how far faces moved: no less than a half of what two neighbours stand apart, no more than it may."""
        random = np.random.default_rng(3)
        shifts = random.normal(size=(10, 3))
        shifts *= 0.05 / np.linalg.norm(shifts, axis=1)[:, None]
        loose = in_one([moved(face, by) for face, by in zip(rounded_box().Faces(), shifts, strict=True)])
        problem = refused(tmp_path, loose, "[repair]\nlimit = 0.5\nsew = 0.01")[0]
        assert problem.key == "repair.sew" and "left open at (" in problem.limit
        body = body_of(tmp_path, None, "[repair]\nlimit = 0.5\nsew = 0.2")
        said = next(note for note in body.notes if "repair.sew" in note)
        far = float(said.partition("by at most ")[2].split(" mm")[0])
        assert 0.01 < far <= 0.2
        area = rounded_box().Area()
        assert abs(body.skin.volume_mm3 - VOLUME) < 0.15 * area

    def test_an_open_box_is_not_sewn_shut(self, tmp_path):
        """A side is missing: refused with where; taken as an open skin, sewn, its area that of the faces given."""
        faces = [face for face in rounded_box().Faces() if face.Center().x < 199]
        problem = refused(tmp_path, in_one(faces), "[repair]\nsew = 0.1")[0]
        assert problem.key == "repair.sew" and "4 left open at (200.0" in problem.limit
        body = body_of(tmp_path, None, "open = true\n[repair]\nsew = 0.1")
        assert body.exact is None
        assert body.skin.areas_mm2.sum() == pytest.approx(sum(face.Area() for face in faces), rel=1e-3)

    def test_only_a_step_file_is_sewn(self, tmp_path):
        (tmp_path / "body.stl").write_text("solid\nendsolid\n")
        (tmp_path / "body.toml").write_text(
            'name = "box"\n[body]\nfile = "body.stl"\nunits = "mm"\ntake = "first"\n[repair]\nsew = 0.1\n'
        )
        with pytest.raises(BadInput) as error:
            load_settings(tmp_path / "body.toml")
        assert {problem.key for problem in error.value.problems} == {"repair.sew", "body.take"}


class TestSeveral:
    def test_that_overlap(self, tmp_path):
        """United, exactly: what lies in both counts once."""
        other = moved(cq.Workplane().box(*SIZE).val(), (200, 50, 0))
        body = body_of(tmp_path, in_one([rounded_box(), other]))
        both = 200 * 150 * SIZE[2] - CORNER
        assert len(body.exact.solids) == 1
        assert exact_volume(body) == pytest.approx(VOLUME + math.prod(SIZE) - both, rel=1e-6)
        assert body.skin.volume_mm3 == pytest.approx(exact_volume(body), rel=1e-3)

    @pytest.mark.parametrize("size", [100.0, 12.0])
    def test_that_the_kernel_unites_wrongly(self, tmp_path, monkeypatch, size):
        """It leaves a solid out without an error, large or small: the union of triangles is taken, and said so."""
        monkeypatch.setattr(ExactSolid, "unite", lambda self, others: self)
        bump = moved(cq.Workplane().box(size, size, 20).val(), (0, 0, 65))
        body = body_of(tmp_path, in_one([rounded_box(), bump]))
        assert body.exact is None and any("2 solids united as triangles" in note for note in body.notes)
        assert body.skin.volume_mm3 == pytest.approx(VOLUME + size * size * 15, rel=1e-3)
        assert body.skin.bounds[1, 2] == pytest.approx(75)

    def test_one_inside_another(self, tmp_path):
        """An engine of 100 x 60 x 50 in the box leaves nothing of the skin, and is named with its size and place."""
        engine = moved(cq.Workplane().box(100, 60, 50).val(), (20, 10, 5))
        body = body_of(tmp_path, in_one([rounded_box(), engine]))
        assert exact_volume(body) == pytest.approx(VOLUME, rel=1e-9)
        assert "a solid of 100 x 60 x 50 mm at (20.0, 10.0, 5.0) lies inside others: left out" in body.notes

    def test_that_touch(self, tmp_path):
        """Two boxes with a face in common are one: no wall is left between them."""
        box = cq.Workplane().box(*SIZE).val()
        body = body_of(tmp_path, in_one([box, moved(box, (SIZE[0], 0, 0))]))
        assert [solid.volume_mm3 for solid in body.exact.solids] == pytest.approx([2 * math.prod(SIZE)], rel=1e-9)
        assert body.skin.areas_mm2.sum() == pytest.approx(cq.Workplane().box(800, 200, 120).val().Area(), rel=1e-9)

    def test_that_stay_apart(self, tmp_path):
        box = cq.Workplane().box(*SIZE).val()
        body = body_of(tmp_path, in_one([box, moved(box, (SIZE[0] + 50, 0, 0))]))
        assert [solid.volume_mm3 for solid in body.exact.solids] == pytest.approx([math.prod(SIZE)] * 2, rel=1e-9)

    def test_a_closed_shell_beside_a_solid(self, tmp_path):
        """A post of 100 x 100 x 400 given as its shell, standing 60 mm in the box."""
        post = moved(cq.Workplane().box(100, 100, 400).val(), (0, 0, 200)).Shells()[0]
        body = body_of(tmp_path, in_one([rounded_box(), post]))
        assert exact_volume(body) == pytest.approx(VOLUME + 100 * 100 * (400 - 60), rel=1e-6)

    def test_a_face_beside_a_solid(self, tmp_path):
        """A plane of the drawing is no body: refused with the way on, which works."""
        plane = moved(rounded_box().Faces()[0], (0, 0, 300))
        problem = refused(tmp_path, in_one([rounded_box(), plane]))[0]
        assert "1 solid, 1 open shell" in problem.limit and "body.take" in problem.remedy
        assert exact_volume(body_of(tmp_path, None, "take = [1]")) == pytest.approx(VOLUME, rel=1e-9)


def test_a_solid_with_a_face_turned_in_is_healed(tmp_path):
    """The kernel calls it invalid; healed it has the volume it had, and the note has both."""
    faces = rounded_box().Faces()
    shell, builder, solid = TopoDS_Shell(), BRep_Builder(), TopoDS_Solid()
    builder.MakeShell(shell)
    for number, face in enumerate(faces):
        builder.Add(shell, face.wrapped.Reversed() if number == 1 else face.wrapped)
    shell.Closed(True)
    builder.MakeSolid(solid)
    builder.Add(solid, shell)
    assert not cq.Solid(solid).isValid()
    body = body_of(tmp_path, cq.Solid(solid))
    assert body.exact.solids[0].is_valid and exact_volume(body) == pytest.approx(VOLUME, rel=1e-9)


@pytest.fixture
def drawing(tmp_path):
    """A file of three boxes with names, in an assembly, the third on a layer; their volumes by name."""
    document = TDocStd_Document(TCollection_ExtendedString("drawing"))
    shapes, layers = (
        XCAFDoc_DocumentTool.ShapeTool_s(document.Main()), XCAFDoc_DocumentTool.LayerTool_s(document.Main())
    )  # fmt: skip
    sizes = {"shell": (400, 200, 100), "mirror": (60, 50, 40), "bracket": (30, 20, 10)}
    for number, (name, size) in enumerate(sizes.items()):
        label = shapes.AddShape(cq.Solid.makeBox(*size, pnt=cq.Vector(0, 300 * number, 0)).wrapped, False)
        TDataStd_Name.Set_s(label, TCollection_ExtendedString(name))
        if name == "bracket":
            layers.SetLayer(label, TCollection_ExtendedString("tooling"))
    writer = STEPCAFControl_Writer()
    writer.SetLayerMode(True)
    writer.SetNameMode(True)
    writer.Transfer(document, STEPControl_StepModelType.STEPControl_AsIs)
    writer.Write(str(tmp_path / "body.step"))
    return {name: float(math.prod(size)) for name, size in sizes.items()}


@pytest.mark.parametrize(
    ("take", "names"),
    [
        ('"first"', ["shell"]),
        ('["mirror"]', ["mirror"]),
        ('["tooling"]', ["bracket"]),
        ('["shell", "bracket"]', ["shell", "bracket"]),
        ("[3, 1]", ["bracket", "shell"]),
        ('["mirror", 2]', ["mirror"]),
    ],
)
def test_a_part_is_taken(tmp_path, drawing, take, names):
    body = body_of(tmp_path, None, f"take = {take}")
    assert sorted(solid.volume_mm3 for solid in body.exact.solids) == pytest.approx(sorted(drawing[n] for n in names))


def test_a_part_that_is_not_there(tmp_path, drawing):
    """Each is named, with what is near, or how many parts there are."""
    problems = refused(tmp_path, None, 'take = ["miror", 9]')
    assert [problem.value for problem in problems] == ["'miror'", "9"]
    assert "'mirror'" in problems[0].limit and "1 to 3" in problems[0].limit


def test_a_part_is_taken_where_the_assembly_places_it(tmp_path):
    """One part twice, once turned by 90 degrees about z: its name takes both, its number one of them."""
    car = cq.Assembly(name="car")
    post = cq.Workplane().box(80, 20, 10)
    car.add(post, name="left", loc=cq.Location(cq.Vector(0, -300, 0)))
    car.add(post, name="right", loc=cq.Location(cq.Vector(500, 300, 50), cq.Vector(0, 0, 1), 90))
    car.export(str(tmp_path / "body.step"))
    right = body_of(tmp_path, None, 'take = ["right"]')
    assert right.skin.bounds == pytest.approx(np.array([[490, 260, 45], [510, 340, 55]]), abs=1e-6)
    assert body_of(tmp_path, None, "take = [2]").skin.bounds == pytest.approx(right.skin.bounds)
    both = body_of(tmp_path, None, 'take = ["car"]')
    assert both.skin.bounds == pytest.approx(np.array([[-40, -310, -5], [510, 340, 55]]), abs=1e-6)
    assert exact_volume(both) == pytest.approx(2 * 80 * 20 * 10)


def test_a_body_that_is_hollow_already(tmp_path):
    """Said with how much is hollow: 380 x 180 x 100."""
    shell = cq.Workplane().box(400, 200, 120).cut(cq.Workplane().box(380, 180, 100)).val()
    body = body_of(tmp_path, shell)
    assert any("hollow already: 6.84 l inside, about (0.0, 0.0, 0.0)" in note for note in body.notes)
