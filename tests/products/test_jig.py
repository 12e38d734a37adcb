"""A jig through the command: the brick on saddles, its sheets read back by ezdxf, spoilt, and mistakes."""

import json

import ezdxf
import pytest
from shapely import Polygon

from tests.shared import command

JIG = """
[jig]
thickness = 6
rails = 60
height = 40
pad = 20
reach = 90
pitch = 150
relief = 5
cutter = 3
sheet = [600, 400]
"""


def write(folder, jig=JIG):
    """Give the brick a jig, and floor to be held by at either end."""
    path = folder / "brick.toml"
    path.write_text(path.read_text().replace("low = [20.0,", "low = [65.0,").replace("[220.0, 35", "[175.0, 35") + jig)
    return path


@pytest.fixture
def parameters(brick_folder):
    return write(brick_folder)


def test_built_measured_and_spoilt(parameters):
    """No finding; every outline on the sheets closed, in millimetres, and as many as there are parts, inside the sheet.
    With one corner of a slot moved by 0.5 mm the file is reported, and the slot."""
    folder = parameters.parent
    code, said, errors = command("build", parameters, "--out", folder / "out", "--pictures")
    assert code == 0, said + errors
    out = folder / "out" / "brick"
    jig = json.loads((out / "jig" / "jig.json").read_text())
    outlines = []
    for name in jig["sheets"]:
        drawing = ezdxf.readfile(out / name)
        assert drawing.header["$INSUNITS"] == 4
        outlines += [Polygon(line.get_points("xy")) for line in drawing.modelspace().query('LWPOLYLINE[layer=="CUT"]')]
    assert len(outlines) == len(jig["parts"]) and all(shape.is_valid for shape in outlines)
    assert all(low > 0 and high < 600 for shape in outlines for low, high in [shape.bounds[::2]])
    measures = json.loads((out / "findings.json").read_text())["measures"]
    gaps = {one["part"]: one["value"] for one in measures if one["name"] == "jig-pad-gap"}
    assert len(gaps) == len(jig["contacts"])
    assert all(gaps[one["id"]] == pytest.approx(one["gap"], abs=0.15) for one in jig["contacts"])
    assert max(one["value"] for one in measures if one["name"] == "joints-from-jig") <= 2
    assert {path.name for path in (out / "pictures").iterdir()} >= {"jig.png", "on-jig.png"}

    text = (out / jig["sheets"][0]).read_text()
    line = next(iter(ezdxf.readfile(out / jig["sheets"][0]).modelspace().query('LWPOLYLINE[layer=="CUT"]')))
    assert text.count("$INSUNITS") == 1 and line.closed
    _widen(out / jig["sheets"][0], jig)
    code, said, errors = command("check", parameters, "--out", folder / "out")
    assert code == 1 and "file-changed" in said + errors and "jig-slot" in said + errors, said + errors


def _widen(path, jig):
    """Move every corner of the first part's outline that lies to the right of its first slot's middle by 0.5 mm."""
    drawing = ezdxf.readfile(path)
    line = next(iter(drawing.modelspace().query('LWPOLYLINE[layer=="CUT"]')))
    part = next(part for part in jig["parts"] if part["laid"]["sheet"] == 1)
    laid, middle = part["laid"], part["slots"][0]["middle"]
    axis = 1 if laid["turned"] else 0
    at = middle + laid["shift"][axis]
    points = [list(point) for point in line.get_points("xy")]
    for point in points:
        point[axis] += 0.5 if point[axis] > at else 0.0
    line.set_points(points, format="xy")
    drawing.saveas(path)


def test_a_sheet_that_is_none(parameters):
    """Cut off in the middle: reported, and the run still ends with all other findings."""
    folder = parameters.parent
    code, said, errors = command("build", parameters, "--out", folder / "out", "--no-check")
    assert code == 0, said + errors
    sheet = folder / "out" / "brick" / "jig" / "sheet-1.dxf"
    sheet.write_text(sheet.read_text()[:3000])
    code, said, errors = command("check", parameters, "--out", folder / "out")
    assert code == 1 and "jig-sheet" in said + errors and "Traceback" not in said + errors, said + errors
    (folder / "out" / "brick" / "jig" / "jig.json").unlink()
    code, said, errors = command("check", parameters, "--out", folder / "out")
    assert code == 3 and "jig.json" in errors, said + errors


@pytest.mark.parametrize(("old", "new", "words"), [
    ("cutter = 3", "cutter = 7", ["jig.cutter", "6.3"]),
    ("pitch = 150", "stations = [100]", ["jig.stations", "two or more"]),
    ("pitch = 150", "stations = [200, 100]", ["jig.stations[2]", "218 or more"]),
    ("rails = 60", "rails = 10", ["jig.rails"]),
    ("sheet = [600, 400]", "sheet = [100, 60]", ["jig.sheet", "too large"]),
    ("pad = 20", "pad = 200", ["jig"]),
    ("reach = 90", "reac = 90", ["jig.reac", "reach"]),
])  # fmt: skip
def test_mistakes(brick_folder, old, new, words):
    parameters = write(brick_folder, JIG.replace(old, new))
    code, said, errors = command("build", parameters, "--out", brick_folder / "out")
    if code == 0:
        pytest.fail(said + errors)
    assert code == 2 and all(word in errors for word in words), said + errors
    assert "Traceback" not in errors and not (brick_folder / "out" / "brick").exists()


def test_printed(brick_folder):
    """The same jig printed for a bed of 230: every piece fits it and is one solid, by another library; pads are as
    those of sheet. A piece with a dowel hole filled is reported."""
    import numpy as np
    import trimesh

    jig = JIG.replace("[jig]", '[jig]\nmake = "printed"').replace("thickness = 6", "thickness = 10")
    jig = jig.replace("height = 40", "height = 100") + "\n[printer]\nbed = [230, 230, 230]\n"
    parameters = write(brick_folder, jig)
    code, said, errors = command("build", parameters, "--out", brick_folder / "out")
    assert code == 0, said + errors
    out = brick_folder / "out" / "brick"
    jig = json.loads((out / "jig" / "jig.json").read_text())
    assert jig["sheets"] == [] and not list((out / "jig").glob("*.dxf"))
    assert len(jig["pieces"]) > len(jig["parts"])
    for piece in jig["pieces"]:
        mesh = trimesh.load(out / piece["file"])
        assert mesh.is_watertight and mesh.body_count == 1
        low, high = mesh.bounds
        assert (low > [4.99, 4.99, -0.01]).all() and (high < [225.01, 225.01, 225]).all()
        assert high[2] - low[2] == pytest.approx(10.0, abs=1e-3), "it lies flat"
    measures = json.loads((out / "findings.json").read_text())["measures"]
    gaps = {one["part"]: one["value"] for one in measures if one["name"] == "jig-pad-gap"}
    assert all(gaps[one["id"]] == pytest.approx(one["gap"], abs=0.15) for one in jig["contacts"])
    clearances = [m["value"] for m in measures if m["name"] == "dowel-clearance" and "rail" in m["part"]]
    assert len(clearances) >= 4 and all(value == pytest.approx(0.1, abs=0.02) for value in clearances)
    manifest = json.loads((out / "manifest.json").read_text())
    plan = json.loads((out / "plan.json").read_text())
    dowels = sum(j["joint"]["kind"] == "dowel" for j in plan["joints"]) + 2 * len(jig["butts"])
    assert sum(part["count"] for part in manifest["parts"] if part["kind"] == "dowel") == dowels

    piece = next(one for one in jig["pieces"] if one["part"] == "rail-left")
    dowel = next(j for b in jig["butts"] for j in b["joints"] if piece["id"] in (b["minus"], b["plus"]))
    rotation = np.array([piece["pose"][axis] for axis in "xyz"])
    at = rotation @ (np.array(dowel["frame"]["origin"]) - piece["pose"]["origin"])
    plug = trimesh.creation.box((12, 12, 6), trimesh.transformations.translation_matrix(at))
    mesh = trimesh.load(out / piece["file"])
    whole = trimesh.boolean.union([mesh, trimesh.boolean.intersection([plug, mesh.convex_hull])])
    whole.export(out / piece["file"])
    code, said, errors = command("check", parameters, "--out", brick_folder / "out")
    assert code == 1 and "dowel-missing" in said + errors and "file-changed" in said + errors

    (out / piece["file"]).write_bytes(b"solid gone")
    code, said, errors = command("check", parameters, "--out", brick_folder / "out")
    assert code == 1 and f"unreadable  {piece['id']}" in said + errors and "Traceback" not in said + errors
