"""The inspector that shares nothing with the project: on a small body and the demo body, and made to find faults."""

import ast
import json
import shutil
from dataclasses import asdict
from pathlib import Path

import manifold3d as m3
import numpy as np
import pytest
import trimesh

from sections.solids.layers import layered
from sections.solids.print_solid import PrintSolid
from tests.reference.inspector.assembly import inspect_overlaps, inspect_steps
from tests.reference.inspector.bed import inspect_beds, layers
from tests.reference.inspector.body import Body
from tests.reference.inspector.build import Build, Frame, bar, manifold
from tests.reference.inspector.fasteners import inspect_bolts, inspect_pins
from tests.reference.inspector.inspect import inspect
from tests.reference.inspector.report import Report
from tests.reference.inspector.skin import inspect_skin
from tests.shared import ROOT, real_command

pytestmark = pytest.mark.xdist_group("pod")
HERE = Path(__file__).parent / "inspector"


def test_it_shares_nothing():
    """Every import of the inspector, by its syntax tree: the standard library, four others, its own modules."""
    allowed = {"numpy", "trimesh", "manifold3d", "OCP", "cadquery"}
    standard = {"__future__", "collections", "dataclasses", "functools", "importlib", "itertools", "json", "pathlib",
                "sys", "time", "tomllib"}  # fmt: skip
    files = sorted(HERE.glob("*.py"))
    assert len(files) > 8
    for path in files:
        for node in ast.walk(ast.parse(path.read_text())):
            if isinstance(node, ast.ImportFrom) and node.level == 0:
                assert node.module.split(".")[0] in allowed | standard, path.name
            elif isinstance(node, ast.ImportFrom):
                assert node.level == 1, path.name
            elif isinstance(node, ast.Import):
                assert all(name.name.split(".")[0] in allowed | standard for name in node.names), path.name


@pytest.mark.parametrize("name", ["pod", "crate"])
def test_a_small_body(name, request, tmp_path):
    """Everything on the two small bodies."""
    built = request.getfixturevalue(name)
    report = inspect(finished(built, tmp_path), built.folder / f"{name}.toml")
    assert report.faults == [], report.text()
    assert report.counts["way-in"] > 50 and report.counts["pin"] > 20 and report.counts["coverage"] > 5000


@pytest.mark.slow
def test_the_demo_body(tmp_path):
    """README's first command without pictures and STEP, then everything."""
    shutil.copytree(ROOT / "params", tmp_path / "params")
    parameters = tmp_path / "params" / "demo.toml"
    parameters.write_text('extends = "plover.toml"\n[output]\nformats = ["stl"]\n')
    code, _, said = real_command("build", parameters, "--out", tmp_path / "out", timeout=1800)
    assert code == 0, said
    report = inspect(tmp_path / "out" / "plover", parameters)
    assert report.faults == [], report.text()
    assert report.counts["way-in"] > 3000 and report.counts["jig-gap"] > 10


@pytest.mark.slow
@pytest.mark.parametrize("seams", ["given", "found"])
@pytest.mark.parametrize("name", ["ahmed", "motor_boat", "ship_hull", "airliner_fuselage"])
def test_bodies_of_others(name, seams, outside, tmp_path):
    """The Ahmed body at 4 and three outside bodies, with the seams of their parameter files (the fuselage: even
    ones) and with seams found for them: no finding, and no fault."""
    parameters = tmp_path / f"{name}.toml"
    if name == "ahmed":
        shutil.copytree(ROOT / "params", tmp_path, dirs_exist_ok=True)
    elif name == "airliner_fuselage":
        arguments = ("--body", outside / f"{name}.step", "--scale", 2500 / 37770)
        assert real_command("new", parameters, *arguments)[0] == 0
    else:
        shutil.copy(HERE.parent / "outside" / parameters.name, tmp_path)
        shutil.copy(outside / f"{name}.stl", tmp_path)
    found = '[seams]\nmode = "auto"\nplanes = []\n' if seams == "found" else ""
    varied = tmp_path / "varied.toml"
    varied.write_text(f'extends = "{parameters.name}"\nname = "varied"\n[output]\nformats = ["stl"]\n{found}')
    code, _, said = real_command("build", varied, "--out", tmp_path / "out", timeout=3600)
    assert code == 0, said
    report = inspect(tmp_path / "out" / "varied", varied)
    assert report.faults == [], report.text()
    assert report.counts["way-in"] > 10 and report.counts["coverage"] > 5000


def finished(built, folder):
    """Return a copy of a build's folder, its findings in it as the command writes them."""
    shutil.copytree(built.out, folder / "out")
    rows = [asdict(finding) for finding in built.report.findings]
    (folder / "out" / "findings.json").write_text(json.dumps({"findings": rows}))
    return folder / "out"


def spoilt(built, folder, section_id, cut=(), add=(), move=(0, 0, 0)):
    """Return a copy of a build with one section's file written anew: solids of the vehicle frame cut from it or united
    with it, or all of it moved."""
    build = Build(finished(built, folder))
    section = build.sections[section_id]
    solid = section.solid.translate(move)
    solid = m3.Manifold.batch_boolean([solid, *cut], m3.OpType.Subtract) if cut else solid
    solid = m3.Manifold.batch_boolean([solid, *add], m3.OpType.Add) if add else solid
    frame = section.frame
    mesh = solid.transform(np.column_stack([frame.axes, -frame.axes @ frame.origin])).to_mesh64()
    triangles = np.asarray(mesh.vert_properties)[:, :3], np.asarray(mesh.tri_verts, np.int64)
    record = next(part for part in build.manifest["parts"] if part["id"] == section_id)
    path = next(file["path"] for file in record["files"] if file["format"] == "stl")
    shells = [trimesh.Trimesh(*triangles, process=False), *section.feet]
    trimesh.util.concatenate(shells).export(folder / "out" / path)
    return Build(folder / "out")


def a_bolt(built, held="nut"):
    """Return a bolt's row in the plan, and its frame."""
    plan = json.loads((built.out / "plan.json").read_text())
    row = next(j for j in plan["joints"] if j["joint"]["kind"] == "bolt" and j["joint"]["held"] == held)
    return row, Frame.of(row["frame"])


def looked(look, build, *more):
    report = Report()
    look(build, *more, report) if more else look(build, report)
    return report


def test_a_sealed_nut(crate, tmp_path):
    """One nut's way closed by a plate 2 mm thick, 12 mm off its flange: that bolt is found, and no other."""
    row, frame = a_bolt(crate)
    far = "plus" if row["joint"]["screw"] == "minus" else "minus"
    sign = 1.0 if far == "plus" else -1.0
    plate = m3.Manifold.cube((14, 14, 2), True).translate((0, 0, sign * (row["joint"]["thickness"] + 13)))
    report = looked(inspect_bolts, spoilt(crate, tmp_path, row[far], add=[frame.place(plate)]))
    assert {"way-in", "turned"} & report.kinds() and {part for _, part, _ in report.faults} == {row["id"]}


@pytest.mark.parametrize("radius, found", [(3.3, True), (3.6, False)])
def test_a_way_as_wide_as_a_head(crate, tmp_path, radius, found):
    """All that is within 25 mm of a screw's head filled but a bore: 6.6 mm wide takes its head, not its washer of 7;
    7.2 mm takes both (and no key is turned in either)."""
    row, frame = a_bolt(crate)
    side = row["joint"]["screw"]
    sign, thick = (1.0 if side == "plus" else -1.0), row["joint"]["thickness"]
    reach = sorted((sign * thick, sign * (thick + 25)))
    sleeve = bar(radius + 2, *reach) - bar(radius, *reach)
    report = looked(inspect_bolts, spoilt(crate, tmp_path, row[side], add=[frame.place(sleeve)]))
    own = {kind: text for kind, part, text in report.faults if part == row["id"]}
    # Its seat is looked for all the way to the washer's edge. A neighbour's key may meet the sleeve too.
    assert ("seat" in own) == found and {kind for kind, _, _ in report.faults} <= {
        "seat",
        "threads",
        "turned",
        "way-in",
    }
    assert ("turned" in own) == (not found) and "washer" not in own.get("way-in", "")


def test_a_screw_too_short(crate, tmp_path):
    """Every screw 8 mm shorter than the list says: 12 where a nut asks for 20."""
    build = spoilt(crate, tmp_path, a_bolt(crate)[0]["minus"])
    for joint in build.plan["joints"]:
        if joint["joint"]["kind"] == "bolt":
            joint["joint"]["length"] -= 8.0
    assert "threads" in looked(inspect_bolts, build).kinds()


def test_a_pin_s_hole_filled(crate, tmp_path):
    plan = json.loads((crate.out / "plan.json").read_text())
    row = next(j for j in plan["joints"] if j["joint"]["kind"] == "dowel")
    plug = Frame.of(row["frame"]).place(bar(3.0, -3.0, -1.0))
    report = looked(inspect_pins, spoilt(crate, tmp_path, row["minus"], add=[plug]))
    assert [part for _, part, _ in report.faults] == [row["id"]]


def test_moved_into_its_neighbour(crate, tmp_path):
    """By 0.1 mm, along x: into the one."""
    build = spoilt(crate, tmp_path, "X0R", move=(0.1, 0, 0))
    assert "overlap" in looked(inspect_overlaps, build).kinds()


def test_a_hook_behind_a_flange(crate, tmp_path):
    """A bar from X0R through the seam at x = 150 that turns outward behind X1R's flange, which is 24 high on a wall at
    y = 106 to 110: clear of all in place, and in the way of every straight step along x."""
    hook = [
        m3.Manifold.cube((6, 50, 6)).translate((128, 58, 60)),
        m3.Manifold.cube((50, 6, 6)).translate((128, 58, 60)),
        m3.Manifold.cube((4, 40, 6)).translate((174, 58, 60)),
    ]
    build = spoilt(crate, tmp_path, "X0R", add=hook)
    assert looked(inspect_overlaps, build).faults == []
    report = looked(inspect_steps, build)
    assert report.kinds() == {"step"} and all("X0R" in text for _, _, text in report.faults)


@pytest.mark.parametrize("deep, kind", [(0.1, None), (0.3, "coverage"), (6.0, "coverage")])
def test_a_pocket_in_the_skin(crate, tmp_path, deep, kind):
    """60 x 60 mm of the lid, a ball of 900 about (165, 0, -770), milled off from outside: by less than a ray counts as
    on the skin, by more, and through."""
    ball = m3.Manifold.sphere(900 - deep, 1024).translate((165, 0, -770))
    pocket = m3.Manifold.cube((60, 60, 60)).translate((40, 20, 100)) - ball
    build = spoilt(crate, tmp_path, "X0R", cut=[pocket])
    report = looked(inspect_skin, build, Body.of(crate.folder / "crate.toml"))
    assert report.kinds() - {"wall"} == ({kind} if kind else set())


def test_a_wall_thinned_from_inside(crate, tmp_path):
    """The same lid to 3.7 mm of 4, less by what its skin of triangles is off the ball (0.1 asked)."""
    ball = m3.Manifold.sphere(900 - 3.7, 1024).translate((165, 0, -770))
    pocket = m3.Manifold.cube((40, 40, 60)).translate((60, 35, 90)) ^ ball
    report = looked(inspect_skin, spoilt(crate, tmp_path, "X0R", cut=[pocket]), Body.of(crate.folder / "crate.toml"))
    assert report.kinds() == {"wall"} and min(report.measures["wall mm"]) == pytest.approx(3.7, abs=0.1)


def test_without_its_foot(pod, tmp_path):
    """A section that has a foot tips over once that is left out of its file."""
    build = spoilt(pod, tmp_path, "X0R")
    section = next(one for one in build.sections.values() if one.feet)
    object.__setattr__(section, "feet", ())
    report = looked(inspect_beds, build)
    assert ("tips", section.id) in {(kind, part) for kind, part, _ in report.faults}


def test_layers_are_counted_alike(pod, crate, tmp_path):
    """Three sections counted by this counter and by the project's: what hangs and is bridged together within a tenth
    (they tell bridges apart differently)."""
    pods, crates = (Build(finished(built, tmp_path / name)) for built, name in ((pod, "pod"), (crate, "crate")))
    chosen = [*list(pods.sections.values())[:2], next(iter(crates.sections.values()))]
    for section in chosen:
        solid = manifold(section.printed)
        own = layered(PrintSolid(solid), 10.0)
        hangs, bridged = layers(solid)
        assert hangs + bridged == pytest.approx(own.unsupported + own.bridged, rel=0.1, abs=20), section.id
