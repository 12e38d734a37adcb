"""`sections prepare`, and scans on their way through `sections build`: files, words, exit codes, mistakes."""

import json
import math
import re

import numpy as np
import pytest
import trimesh
from PIL import Image

from tests.reference.scanned import SCALE, scan_of
from tests.shared import command

MEND = """
[repair]
limit = 0.7
weld = 0.2
duplicate_faces = true
small_shells = 10
orient = true
holes = 130
smooth = 0.2
"""


def hull():
    """An egg of half axes 700, 260 and 180, its own mirror image."""
    made = trimesh.creation.icosphere(5)
    made.vertices *= [700, 260, 180]
    return made


def between_ends(points):
    """The part of it that is scanned: its ends are cut off, raggedly."""
    return np.abs(points[:, 0]) < 300


def write(folder, mesh, text, name="scan"):
    trimesh.Trimesh(mesh.vertices, mesh.faces, process=False).export(folder / f"{name}.stl")
    (folder / f"{name}.toml").write_text(f'name = "{name}"\n{text}')
    return folder / f"{name}.toml"


def targets(scan, places):
    rows = "".join(f"    {{ points = [{scan.place(p)}], x = {p[0]}, y = {p[1]}, z = {p[2]} }},\n" for p in places)
    return f"\n[datum]\ntargets = [\n{rows}]\n"


PLACES = [(-300.0, 0.0, 162.4), (300.0, 0.0, 162.4), (0.0, 260.0, 0.0), (0.0, 0.0, 180.0), (0.0, 0.0, -180.0)]


@pytest.fixture(scope="module")
def half(tmp_path_factory):
    """The right half of the hull as a scanner has it, prepared."""
    folder = tmp_path_factory.mktemp("half")
    made = hull()
    scan = scan_of(made, lambda p: between_ends(p) & (p[:, 1] > -8), seed=3, holes=5, patches=1)
    body = f'[body]\nfile = "scan.stl"\nunits = "mm"\nscale = {SCALE}\nopen = true\n'
    sides = '\n[half]\nside = "right"\nblend = 40\n\n[seams]\nplanes = []\n'
    parameters = write(folder, scan.mesh, body + MEND + targets(scan, PLACES) + sides)
    code, _, said = command("prepare", parameters, "--out", folder / "out")
    return code, said, folder / "out" / "scan-skin", made


@pytest.mark.xdist_group("half")
def test_a_half_scan(half):
    """The skin written is the hull within the scan's noise (at most 3 x 0.08 mm, less what is smoothed) but where holes
    were closed, open at its two ends only, and every step is reported."""
    code, said, folder, made = half
    assert code == 0, said
    skin = trimesh.load(folder / "skin.stl")
    edges = trimesh.grouping.group_rows(skin.edges_sorted, require_count=1)
    assert np.abs(np.abs(skin.vertices[skin.edges_sorted[edges]][:, :, 0]) - 300).max() < 15.0
    scaled = skin.vertices / [700, 260, 180]
    # To first order the distance from an ellipsoid is f / |grad f|, f = |scaled| - 1.
    gradient = scaled / [700, 260, 180] / np.linalg.norm(scaled, axis=1, keepdims=True)
    off = np.abs(np.linalg.norm(scaled, axis=1) - 1) / np.linalg.norm(gradient, axis=1)
    assert np.percentile(off, 95) < 0.24 and off.max() < 1.5
    for words in ("repair.weld", "repair.small_shells: 6 surfaces", "repair.orient", "holes closed smooth",
                  "half.right: mirrored", "half.blend", "repair.smooth",
                  "datum: 15 known coordinates, missed by at most 0.0"):  # fmt: skip
        assert words in said


@pytest.mark.xdist_group("half")
def test_its_report_and_pictures(half):
    _, said, folder, _ = half
    report = json.loads((folder / "skin.json").read_text())
    assert 0 < report["moved"] <= 0.7 and report["file"] == "scan.stl"
    assert all(line in said for line in report["steps"])
    for name in ("moved-front", "moved-rear", "asymmetry-front", "asymmetry-rear"):
        assert np.asarray(Image.open(folder / f"{name}.png").convert("L")).std() > 5


@pytest.fixture(scope="module")
def panel(tmp_path_factory):
    """An open panel off the hull's side, noisy, in two sections, built."""
    folder = tmp_path_factory.mktemp("panel")
    scan = scan_of(
        hull(),
        lambda p: (np.abs(p[:, 0]) < 110) & (p[:, 1] > 120) & (np.abs(p[:, 2]) < 64),
        seed=7,
        holes=1,
        patches=0,
    )
    body = f'[body]\nfile = "scan.stl"\nunits = "mm"\nscale = {SCALE}\nopen = true\noutside = [0, 1, 0]\n'
    known = targets(scan, [(0.0, 260.0, 0.0), *((x, 260 * math.sqrt(1 - (x / 700) ** 2), 0.0) for x in (-100.0, 100.0)),
                           (0.0, 260 * math.sqrt(1 - (60 / 180) ** 2), 60.0)])  # fmt: skip
    rest = '\n[output]\nformats = ["stl"]\n\n[seams]\nplanes = [{ id = "x1", axis = "x", at = 10 }]\n'
    parameters = write(folder, scan.mesh, body + MEND + known + rest, "scan")
    code, _, said = command("build", parameters, "--out", folder / "out")
    return code, said, folder / "out" / "scan"


def test_an_open_panel(panel):
    """No finding; each section has the skin on one side, its wall behind it, and nothing at the panel's border but a
    face square to the skin."""
    code, said, folder = panel
    assert code == 0, said
    assert "open skin: wall and flanges are laid in a block behind it" in said
    manifest = json.loads((folder / "manifest.json").read_text())
    plan = json.loads((folder / "plan.json").read_text())
    assert {p["id"] for p in manifest["parts"] if p["kind"] == "section"} == {"X0", "X1"}
    assert {joint["joint"]["kind"] for joint in plan["joints"]} >= {"bolt", "dowel", "key"}
    for part in manifest["parts"]:
        if part["kind"] != "section":
            continue
        # A foot, where there is one, is a body of its own.
        mesh, *feet = sorted(trimesh.load(folder / f"sections/{part['id']}.stl").split(), key=lambda one: -one.volume)
        assert mesh.is_watertight and len(feet) == bool(part["foot_height"])
        # A panel of 4 mm wall, 24 mm flange: between the wall alone and the wall with a flange of both ramps.
        length, breadth = 110, 134
        assert 4 * 0.8 * length * breadth < mesh.volume < 4 * 1.3 * length * breadth + 24 * 40 * breadth


class TestMistakes:
    """File, key, value, limit, what to change; exit code 2; nothing written."""

    def refused(self, folder, text, *words):
        mesh = trimesh.creation.icosphere(3, 200)
        parameters = write(folder, mesh, text)
        code, _, said = command("prepare", parameters, "--out", folder / "out")
        assert code == 2 and "Traceback" not in said and "scan.toml" in said, said
        for word in ("must be: ", "fix: ", *words):
            assert word in said, said
        assert not (folder / "out").exists()

    BODY = '[body]\nfile = "scan.stl"\nunits = "mm"\n'
    SEAMS = "\n[seams]\nplanes = []\n"

    def test_a_distance_that_is_not_there(self, tmp_path):
        far = '[[measured]]\nid = "wheelbase"\nbetween = [[-200, 0, 0], [200, 0, 0]]\nlength = 406.8\n'
        self.refused(tmp_path, self.BODY + far + self.SEAMS, "measured.wheelbase = 400.00", "body.scale = 1.017 would")

    def test_more_than_the_limit(self, tmp_path):
        repair = "[repair]\nlimit = 0.2\nweld = 0.15\nsmooth = 0.1\n"
        self.refused(
            tmp_path, self.BODY + repair + self.SEAMS, "repair.limit = 0.2", "repair.weld 0.15 + repair.smooth 0.1"
        )

    def test_a_datum_that_holds_too_little(self, tmp_path):
        datum = "[datum]\ntargets = [{ points = [[0, 0, 200], [100, 0, 173], [0, 100, 173]], z = 0 }]\n"
        self.refused(tmp_path, self.BODY + datum + self.SEAMS, "datum.targets", "six motions held; 3 are not")

    def test_a_shift_beside_a_datum(self, tmp_path):
        datum = "shift = [1, 0, 0]\n[datum]\ncentre = true\n"
        self.refused(tmp_path, self.BODY + datum + self.SEAMS, "body.shift", "all zero beside [datum]")

    def test_a_script_is_not_repaired(self, tmp_path):
        (tmp_path / "body.py").write_text("def body():\n    pass\n")
        body = '[body]\nscript = "body.py:body"\nunits = "mm"\n[repair]\nweld = 0.05\n'
        self.refused(tmp_path, body + self.SEAMS, "repair", "a mesh (a file ending in")

    def test_a_panel_whose_outside_is_not_plain(self, tmp_path):
        mesh = trimesh.creation.icosphere(4, 400)
        panel = mesh.submesh([mesh.triangles_center[:, 2] > 390], append=True)
        panel.vertices[:, 2] = 0.0
        parameters = write(tmp_path, panel, self.BODY + "open = true\n" + self.SEAMS)
        code, _, said = command("build", parameters, "--out", tmp_path / "out")
        assert code == 2 and "body.outside" in said and "give a direction" in said and "Traceback" not in said

    def test_what_was_done_before_it_was_refused(self, tmp_path):
        """Each step of a repair that does not do, with what it left; a patch that crosses skin is called that."""
        ball = trimesh.creation.icosphere(3, 200)
        # A lid off, and a rod through the gap that is left.
        open_ball = ball.submesh([ball.triangles_center[:, 2] < 150], append=True)
        rod = trimesh.creation.cylinder(20, 200, sections=24)
        rod.apply_translation((0, 0, 170))
        both = trimesh.util.concatenate([open_ball, rod])
        parameters = write(tmp_path, both, self.BODY + "[repair]\nlimit = 0.5\nholes = 400\n" + self.SEAMS)
        code, _, said = command("build", parameters, "--out", tmp_path / "out")
        assert code == 2 and "done: repair.holes: 1 holes closed smooth" in said
        assert re.search(r"\d+ faces of the new skin pass through other skin at \(", said), said

    def test_the_envelope_of_an_open_skin(self, tmp_path):
        body = self.BODY + "open = true\n[repair]\nenvelope = true\n"
        self.refused(tmp_path, body + self.SEAMS, "repair.envelope = true", "an open skin, which has no inside")

    def test_a_mistyped_key(self, tmp_path):
        self.refused(tmp_path, self.BODY + "[repair]\nhole = 40\n" + self.SEAMS, "repair.hole", "holes")


def test_nothing_to_prepare(pod_folder):
    """A script's exact solid is built as it is."""
    code, _, said = command("prepare", pod_folder / "pod.toml", "--out", pod_folder / "out")
    assert code == 2 and "pod.toml, line " in said and ": body" in said and "built as it is" in said


def test_faces_of_a_step_file_never_sewn(tmp_path):
    """Six faces of a box, apart, one a hair off: with [repair] they are triangles to be welded, and the skin is the
    box; without it the refusal says that the file holds no solid."""
    import cadquery as cq

    faces = cq.Workplane("XY").box(300, 200, 100).faces().vals()
    loose = cq.Compound.makeCompound([faces[0].translate(cq.Vector(0.01, 0, 0)), *faces[1:]])
    cq.exporters.export(cq.Workplane(loose), str(tmp_path / "faces.step"))
    text = 'name = "faces"\n[body]\nfile = "faces.step"\nunits = "mm"\n[seams]\nplanes = []\n'
    (tmp_path / "faces.toml").write_text(text)
    code, _, said = command("build", tmp_path / "faces.toml", "--out", tmp_path / "out")
    assert code == 2 and "faces.step" in said and "Traceback" not in said
    (tmp_path / "faces.toml").write_text(text + "[repair]\nlimit = 0.1\nweld = 0.05\norient = true\n")
    code, _, said = command("prepare", tmp_path / "faces.toml", "--out", tmp_path / "out")
    assert code == 0, said
    skin = trimesh.load(tmp_path / "out" / "faces-skin" / "skin.stl")
    assert skin.is_watertight and skin.volume == pytest.approx(6e6, rel=1e-3)
