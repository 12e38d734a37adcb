"""Body Sections from Python: the brick read, built, measured, its parts as other libraries have them."""

import inspect
import math
import re
import shutil
from dataclasses import replace

import cadquery as cq
import numpy as np
import pytest
import trimesh

import sections
from sections.errors import BadInput, OutputRefused
from sections.interface import SectionMade
from tests.shared import BRICK, ROOT


@pytest.fixture(scope="module")
def made(tmp_path_factory):
    """(job, build, lines said) of the brick."""
    said = []
    job = sections.read(BRICK / "brick.toml")
    return job, sections.build(job, tmp_path_factory.mktemp("out"), progress=said.append), said


def test_built_and_measured(made):
    job, built, said = made
    assert job.name == "brick" and set(built.sections) == {"X0", "X1"}
    assert [one for one in built.findings if one.level != "note"] == [] and len(built.report.measures) > 100
    assert "carving walls" in "\n".join(said)


def test_meshes_are_trimesh_in_the_vehicle_frame(made):
    """Both together span the brick, 240 x 120 x 100; each is closed, and of the volume the manifest says."""
    _, built, _ = made
    meshes = [section.mesh for section in built.sections.values()]
    assert all(isinstance(mesh, trimesh.Trimesh) and mesh.is_watertight for mesh in meshes)
    bounds = np.array([mesh.bounds for mesh in meshes])
    assert bounds[:, 0].min(0) == pytest.approx([0, -60, 0], abs=0.1)
    assert bounds[:, 1].max(0) == pytest.approx([240, 60, 100], abs=0.1)
    volumes = {part.id: part.volume_mm3 for part in built.manifest.parts}
    for name, section in built.sections.items():
        assert section.mesh.volume == pytest.approx(volumes[name], rel=1e-4)


def test_joints_are_solids_in_place(made):
    """A bolt's hole is round, of ISO 273's medium width or more, and stands across the seam at x = 120."""
    _, built, _ = made
    bolt = next(joint for joint in built.plan.joints if joint.joint.kind == "bolt")
    cut = sections.joint_solids(bolt)
    assert cut["minus"] and cut["plus"] and all(isinstance(one, cq.Shape) for one in cut["minus"])
    boxes = [one.BoundingBox() for one in cut["minus"] + cut["plus"]]
    assert min(box.xmin for box in boxes) < 120 < max(box.xmax for box in boxes)
    assert all(math.isfinite(one.Volume()) and one.Volume() > 0 for one in cut["plus"])


def test_it_shows_itself(made):
    picture = made[1].sections["X0"]._repr_png_()
    assert picture[:4] == b"\x89PNG" and len(picture) > 2000


def test_another_build_in_its_place(made):
    """A build asked for its shape after another one wrote there says so, and shows none."""
    section = made[1].sections["X0"]
    older = replace(section, record=replace(section.record, files=()))
    for asked in ("mesh", "solid"):
        with pytest.raises(OutputRefused, match="another build took the place of this one"):
            getattr(older, asked)


def test_no_step_file(made):
    with pytest.raises(OutputRefused, match="no STEP file of X0"):
        _ = made[1].sections["X0"].solid


@pytest.mark.xdist_group("pod")
def test_a_step_file_of_triangles_is_no_solid(crate):
    """Where its faces are exact the solid has the volume of the mesh, to what triangles leave; of triangles the CAD
    kernel says another, so that none is given."""
    record = next(part for part in crate.manifest.parts if part.id == "X0R")
    section = SectionMade("X0R", crate.out, record)
    assert record.step == "exact" and section.solid.Volume() == pytest.approx(section.mesh.volume, rel=0.002)
    other = replace(section, record=replace(record, step="tessellated", step_why="its face turns 91 deg"))
    with pytest.raises(OutputRefused, match="holds triangles, not faces: its face turns 91 deg; take its mesh"):
        _ = other.solid


def test_mistakes():
    with pytest.raises(BadInput, match="a dimension; the file has none"):
        sections.read(BRICK / "brick.toml", wheelbase=2100)
    with pytest.raises(AttributeError, match="no attribute 'buidl'"):
        _ = sections.buidl


def test_planned_and_measured_again(made, tmp_path):
    """The plan alone has the seam, sections and joints of the build. Measured again, a build reads as it did; once a
    print file of it is damaged, that is found."""
    job, built, _ = made
    plan = sections.planned(job, tmp_path)
    assert plan.plan.sections == built.plan.sections and plan.plan.joints == built.plan.joints
    assert (plan.folder / "seams.toml").is_file() and plan.report.to_fix == 0
    shutil.copytree(built.folder, tmp_path / "brick")
    assert sections.check(job, tmp_path).report == built.report
    stl = tmp_path / "brick" / "sections" / "X0.stl"
    stl.write_bytes(stl.read_bytes()[:-50])
    again = sections.check(job, tmp_path)
    assert {"file-changed"} <= {one.code for one in again.findings} and again.findings == again.report.findings


@pytest.mark.xdist_group("pod")
def test_bosses_are_solids_in_place(pod):
    """The lamp's mouth is asked for at (100, 55, 180), looking down: its hole is as wide as an M4 insert takes, 5.6
    (common practice, no source), and goes up from there; what is added stands around it."""
    boss = next(one for one in pod.plan.bosses if one.id == "lamp")
    made = sections.boss_solids(boss)
    (hole,), added = (made[name] for name in ("cut", "add"))
    box = hole.BoundingBox()
    assert (box.xmin + box.xmax) / 2 == pytest.approx(100, abs=1e-6) and box.ylen == pytest.approx(5.6, abs=0.05)
    assert box.zmin < 180 < box.zmax and box.ymin > 50
    around = [one.BoundingBox() for one in added]
    assert added and all(one.xmin < box.xmin and one.xmax > box.xmax and one.zmax > 180 for one in around)


def test_the_page_lists_every_call():
    """With its arguments, in order, as Python has them."""
    page = (ROOT / "params" / "PYTHON.md").read_text()
    for name in sections._INTERFACE:
        arguments = []
        for one in inspect.signature(getattr(sections, name)).parameters.values():
            if one.kind is one.KEYWORD_ONLY and "*" not in arguments:
                arguments.append("*")
            arguments.append(f"**{one.name}" if one.kind is one.VAR_KEYWORD else one.name)
        assert f"| `{name}({', '.join(arguments)})` |" in page, name
    code = page.partition("```python\n")[2].partition("```")[0]
    compile(code, "PYTHON.md", "exec")
    assert all(hasattr(sections, name) for name in re.findall(r"(?<![.\w])sections\.(\w+)\(", code))


def test_the_example(tmp_path):
    """It runs; of two lengths the longer is the heavier.."""
    place = {"__name__": "in_python", "__file__": str(ROOT / "params" / "examples" / "in_python.py")}
    exec(compile((ROOT / "params" / "examples" / "in_python.py").read_text(), place["__file__"], "exec"), place)
    masses = place["main"](tmp_path, (580, 640), width=20, height=190)
    assert 0.5 < masses[580] < masses[640] < 6.0
