"""Body Sections from Python: the brick read, built, measured, its parts as other libraries have them."""

import math
from dataclasses import replace

import cadquery as cq
import numpy as np
import pytest
import trimesh

import sections
from sections.errors import BadInput, OutputRefused
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


def test_mistakes():
    with pytest.raises(BadInput, match="a dimension; the file has none"):
        sections.read(BRICK / "brick.toml", wheelbase=2100)
    with pytest.raises(AttributeError, match="no attribute 'buidl'"):
        _ = sections.buidl


def test_the_example(tmp_path):
    """It runs; of two lengths the longer is the heavier.."""
    place = {"__name__": "in_python", "__file__": str(ROOT / "params" / "examples" / "in_python.py")}
    exec(compile((ROOT / "params" / "examples" / "in_python.py").read_text(), place["__file__"], "exec"), place)
    masses = place["main"](tmp_path, (580, 640), width=20, height=190)
    assert 0.5 < masses[580] < masses[640] < 6.0
