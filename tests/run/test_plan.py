"""`sections plan` and builds that find their seams: the brick on a small bed, through the command."""

import json
import tomllib

import numpy as np
import pytest
import trimesh

from sections.numbers.mesh import Mesh
from sections.plan.model import plan_from_json
from tests.shared import BRICK, command

BED = "\n[printer]\nbed = [120, 120, 120]\n"


def write(folder, seams, rest=BED, name="brick"):
    """Write the parameters of the brick or the pod, symmetric, with a [seams] table of its own."""
    text = (folder / f"{name}.toml").read_text()
    if "symmetric" not in text:
        text = text.replace('units = "mm"', 'units = "mm"\nsymmetric = true')
    start, stop = text.index("[seams]"), text.index("[[openings]]")
    (folder / f"{name}.toml").write_text(text[:start] + seams + text[stop:] + rest)
    return folder / f"{name}.toml"


def sections_of(folder):
    """Every section's mesh in the vehicle frame, and as printed, read by trimesh."""
    plan = plan_from_json((folder / "plan.json").read_text())
    for part in json.loads((folder / "manifest.json").read_text())["parts"]:
        if part["kind"] == "section":
            printed = trimesh.load(folder / part["files"][0]["path"])
            pose = plan.section(part["id"]).pose
            yield part["id"], printed, pose.place(Mesh(np.asarray(printed.vertices), np.asarray(printed.faces)))


@pytest.fixture(scope="module")
def planned(tmp_path_factory):
    """The brick planned in this many processes; its output folder and what was said."""
    made = {}
    for processes in (1, 2):
        folder = tmp_path_factory.mktemp(f"plan{processes}")
        for name in ("brick.py", "brick.toml"):
            (folder / name).write_text((BRICK / name).read_text())
        parameters = write(folder, "[seams]\nplanes = []\n\n")
        done = command("plan", parameters, "--out", folder / "out", "--processes", processes)
        made[processes] = (folder, *done)
    return made


@pytest.mark.xdist_group("planned")
class TestPlan:
    def test_no_findings_and_all_written(self, planned):
        folder, code, _, said = planned[1]
        assert code == 0, said
        assert "sections-even-grid" in said and "seam-angle-least" in said
        names = {path.name for path in (folder / "out" / "brick-plan").rglob("*") if path.is_file()}
        assert {"seams.toml", "plan.json", "findings.json", "seams-plan.png", "seams-side.png"} <= names

    def test_the_same_with_two_processes(self, planned):
        texts = [(planned[n][0] / "out" / "brick-plan" / "seams.toml").read_text() for n in (1, 2)]
        assert texts[0] == texts[1]

    def test_no_more_than_an_even_grid(self, planned):
        """240 x 120 x 100 in rooms of 110 x 110 x 115: 3 x 2 x 1 cells, all of which hold skin."""
        measures = json.loads((planned[1][0] / "out" / "brick-plan" / "findings.json").read_text())["measures"]
        value = {measure["name"]: measure["value"] for measure in measures}
        assert value["sections-even-grid"] == 6 and value["sections"] <= 6

    def test_what_it_wrote_builds(self, planned):
        """Named in `extends`, the seams give sections without a finding, each within the bed as trimesh reads it."""
        folder = planned[1][0]
        parameters = folder / "again.toml"
        text = (folder / "brick.toml").read_text().replace("[seams]\nplanes = []\n", "")
        parameters.write_text('extends = "out/brick-plan/seams.toml"\n' + text.replace('"brick"', '"again"'))
        code, _, said = command("build", parameters, "--out", folder / "out")
        assert code == 0, said
        for name, printed, _ in sections_of(folder / "out" / "again"):
            assert (printed.bounds[0] >= [5 - 1e-3, 5 - 1e-3, -1e-3]).all(), name
            assert (printed.bounds[1] <= [115 + 1e-3, 115 + 1e-3, 115 + 1e-3]).all(), name


def test_a_build_finds_them(brick_folder):
    """Given seams stay, a section named whole is not cut, nothing is cut within a place kept clear: there one section
    alone has plastic, by manifold3d."""
    at, radius = [170.0, 40.0, 97.0], 15.0
    seams = f"""[seams]
mode = "auto"
planes = [{{ id = "x1", axis = "x", at = 70 }}]
whole = ["X0R"]
clear = [{{ at = {at}, radius = {radius} }}]

"""
    parameters = write(brick_folder, seams, BED.replace("[120, 120, 120]", "[130, 130, 140]"))
    code, _, said = command("build", parameters, "--out", brick_folder / "out")
    assert code == 0, said
    plan = plan_from_json((brick_folder / "out" / "brick" / "plan.json").read_text())
    first = plan.seams[0]
    assert (first.id, first.plane.normal, first.plane.offset) == ("x1", (1.0, 0.0, 0.0), 70.0)
    assert [s.id for s in plan.sections if s.id.startswith("X0")] == ["X0R", "X0L"]
    ball = trimesh.creation.icosphere(3, radius).apply_translation(at)
    there = [
        name
        for name, _, placed in sections_of(brick_folder / "out" / "brick")
        if trimesh.boolean.intersection([trimesh.Trimesh(placed.vertices, placed.faces), ball]).volume > 1.0
    ]
    assert len(there) == 1


def test_two_printers(brick_folder):
    """Each section names the first machine of the list that it fits, and lies within that one's bed."""
    printers = "".join(
        f'\n[[printers]]\nid = "{n}"\nbed = [{s}, {s}, {s}]\n' for n, s in (("small", 110), ("large", 150))
    )
    parameters = write(brick_folder, '[seams]\nmode = "auto"\n\n', printers)
    code, _, said = command("build", parameters, "--out", brick_folder / "out")
    assert code == 0, said
    plan = plan_from_json((brick_folder / "out" / "brick" / "plan.json").read_text())
    for name, printed, _ in sections_of(brick_folder / "out" / "brick"):
        size = {"small": 110, "large": 150}[plan.section(name).printer]
        assert (printed.bounds[1] <= [size - 5 + 1e-3] * 3).all()
    assert {section.printer for section in plan.sections} >= {"large"}


@pytest.mark.parametrize(("seams", "rest", "words"), [
    ('mode = "auto"\nwhole = ["X9R"]\n', BED, ["seams.whole", "X9R", "ids of sections"]),
    ('mode = "best"\n', BED, ["seams.mode", "given", "auto"]),
    ('mode = "auto"\nclear = [{ at = [0, 0], radius = 5 }]\n', BED, ["seams.clear[1].at"]),
    ('mode = "auto"\nclear = [{ at = [120, 60, 100], radius = 400 }]\n', BED, ["seams.clear", "1 places", "a plan"]),
    ("planes = []\n", '\n[[printers]]\nid = "a"\n\n[[printers]]\nid = "a"\n', ["printers[2].id", "name of its own"]),
])  # fmt: skip
def test_mistakes(brick_folder, seams, rest, words):
    """Exit 2, the key, what would do; nothing written."""
    parameters = write(brick_folder, f"[seams]\n{seams}\n", rest)
    code, _, said = command("plan", parameters, "--out", brick_folder / "out")
    assert code == 2 and all(word in said for word in words), said
    assert "Traceback" not in said and not (brick_folder / "out" / "brick-plan").exists()


@pytest.mark.slow
def test_a_boss_that_no_seams_leave_room_for(pod_folder):
    """The same, where no seams were found that leave a boss in one section."""
    parameters = write(pod_folder, '[seams]\nmode = "auto"\n\n', "\n[printer]\nbed = [66, 66, 58]\n", "pod")
    code, _, said = command("plan", parameters, "--out", pod_folder / "out")
    assert code == 2 and all(word in said for word in ["bosses", "of BODYR", "none was found"]), said
    assert "Traceback" not in said and not (pod_folder / "out" / "pod-plan").exists()


@pytest.mark.xdist_group("planned")
def test_the_written_seams_are_a_parameter_file(planned):
    """Plain TOML, one line a seam."""
    text = (planned[1][0] / "out" / "brick-plan" / "seams.toml").read_text()
    assert len(tomllib.loads(text)["seams"]["planes"]) == text.count("{ id = ")


class TestFindings:
    """A plan with one fault of each kind, measured on what was carved."""

    def found(self, folder, name="brick"):
        report = json.loads((folder / "out" / f"{name}-plan" / "findings.json").read_text())
        return {(finding["code"], finding["part"]): finding for finding in report["findings"]}

    @pytest.mark.slow
    def test_too_large(self, pod_folder):
        """The half pod, 420 mm long, is to stay whole on a bed of 200: no pose brings it under 195 (the least that any
        pose of a body holding a bar that long can show is 420 / sqrt 3)."""
        seams = '[seams]\nplanes = [{ id = "y1", axis = "y", at = 0 }]\nwhole = ["BODYR"]\n\n'
        parameters = write(pod_folder, seams, BED.replace("[120, 120, 120]", "[200, 200, 200]"), "pod")
        assert command("plan", parameters, "--out", pod_folder / "out")[0] == 1
        finding = self.found(pod_folder, "pod")["off-bed", "BODYR"]
        assert finding["level"] == "fault" and finding["limit"] <= 195 and finding["measured"] > 420 / 3**0.5

    def test_a_grazing_seam(self, brick_folder):
        """A seam 2.9 mm above the floor meets the rounding of 20 mm at acos(17.1 / 20) = 31.2 degrees, and there is no
        room for joints on so thin a cap."""
        seams = '[seams]\nplanes = [{ id = "z1", axis = "z", at = 2.9 }]\n\n'
        parameters = write(brick_folder, seams, BED.replace("[120, 120, 120]", "[500, 500, 500]"))
        script = brick_folder / "brick.py"
        script.write_text(script.read_text().replace("chamfer(20)", "fillet(20)"))
        assert command("plan", parameters, "--out", brick_folder / "out")[0] == 1
        found = self.found(brick_folder)
        shallow = found["seam-shallow", "z1"]
        assert shallow["level"] == "note" and shallow["measured"] == pytest.approx(31.2, abs=2.5)
        assert {code for code, _ in found} >= {"seam-shallow", "no-dowel"}


def write_box(folder, size, planes, more=""):
    """Write a box, from one corner on, with seams and more tables, on a bed that takes all of it; return its file."""
    (folder / "box.py").write_text(f"import cadquery as cq\n\n\ndef body():\n    return cq.Solid.makeBox(*{size})\n")
    rows = ", ".join(f'{{ id = "{axis}{n}", axis = "{axis}", at = {at} }}' for axis, n, at in planes)
    text = f'name = "box"\n[body]\nscript = "box.py:body"\nunits = "mm"\n[seams]\nplanes = [{rows}]\n'
    (folder / "box.toml").write_text(f"{text}{more}[printer]\nbed = [500, 500, 500]\n")
    return folder / "box.toml"


def planned_box(folder, size, planes):
    """What is found wrong with a plan of a box: (code, part) -> finding."""
    command("plan", write_box(folder, size, planes), "--out", folder / "out")
    return TestFindings().found(folder, "box")


@pytest.mark.parametrize(("wide", "reported"), [(38, True), (42, False)])
def test_a_slim_section(tmp_path, wide, reported):
    """A flange of 24, two thick of 6 and a wall of 4 make 40: a bar 38 wide, cut across, gives sections of flange
    alone; their skin is as wide as the bar."""
    found = planned_box(tmp_path, (300, wide, 30), [("x", 1, 100), ("x", 2, 200)])
    slim = {part: one["text"] for (code, part), one in found.items() if code == "no-width"}
    assert slim == (
        {f"X{n}": f"its skin is {wide} mm wide; less than 40 leaves no room between the flanges" for n in range(3)}
        if reported
        else {}
    )


def nine_and_below(at):
    """Two seams each way, the middle cell off the sides, and a level one."""
    return [("x", 1, 70), ("x", 2, 140), ("y", 1, 55), ("y", 2, 105), ("z", 1, at)]


@pytest.mark.xdist_group("nine")
@pytest.mark.parametrize(("at", "reported"), [(57, True), (55, False)])
def test_wall_cut_off_from_its_skin(tmp_path, at, reported):
    """A seam level with the roof, 3 or 5 mm below it: in the middle, off the sides, what lies below it has no skin. Of
    a wall of 4 that is a part, or only flange."""
    found = planned_box(tmp_path, (210, 160, 60), nine_and_below(at))
    lost = [one["where"] for (code, _), one in found.items() if code == "no-wall"]
    assert len(lost) == reported and all(where[2] == pytest.approx(at, abs=0.01) for where in lost)


def test_the_centre_plane_given_by_its_normal(brick_folder):
    """A centre plane written with a normal is the centre plane: no second one is added."""
    seams = '[seams]\nplanes = [{ id = "y1", normal = [0, 2, 0], at = 0 }]\n\n'
    parameters = write(brick_folder, seams)
    code, _, said = command("plan", parameters, "--out", brick_folder / "out")
    assert code == 0, said
    planes = tomllib.loads((brick_folder / "out" / "brick-plan" / "seams.toml").read_text())["seams"]["planes"]
    assert [seam["id"] for seam in planes if seam["at"] == 0] == ["y1"]
