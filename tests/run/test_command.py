"""The real command, as a user runs it."""

import json
import os
import shutil
import signal
import subprocess
import sys
import time

import numpy as np
import pytest
from vtkmodules.util.numpy_support import vtk_to_numpy
from vtkmodules.vtkIOImage import vtkPNGReader

from sections.export.folder_lock import partial_folder
from sections.settings import Given, load_settings
from tests.shared import ROOT, build_quietly, command, real_command


@pytest.fixture
def made(brick, brick_folder):
    """A fresh folder with the brick's parameter file, script and finished output; the output's folder."""
    return shutil.copytree(brick.out, brick_folder / "out" / "brick")


def test_help_names_the_commands_and_the_exit_codes():
    code, said, _ = command("--help")
    assert code == 0
    for word in ("build", "check", "coupon", "inspect", "new", "1 findings", "2 bad input", "130"):
        assert word in said


def test_help_imports_nothing_heavy():
    """What makes --help quick: no geometry library, not even numpy, is loaded for it."""
    probe = (
        "import sys\nfrom sections.cli import app\n"
        "try:\n    app(['--help'])\nexcept SystemExit:\n    pass\n"
        "print([m for m in ('numpy', 'OCP', 'cadquery', 'trimesh', 'igl', 'pydantic', 'scipy') if m in sys.modules])"
    )
    done = subprocess.run([sys.executable, "-c", probe], cwd=ROOT, capture_output=True, text=True, check=True)
    assert done.stdout.rstrip().endswith("[]")


def test_check_and_a_damaged_file(brick_folder, made):
    """A section's STL shortened, another's missing: 1, and each is named. Nothing built: 3."""
    code, _, error = command("check", brick_folder / "brick.toml", "--out", brick_folder / "elsewhere")
    assert code == 3 and "build first" in error
    stl = made / "sections" / "X0.stl"
    stl.write_bytes(stl.read_bytes()[:2000])
    (made / "sections" / "X1.3mf").unlink()
    code, _, error = command("check", brick_folder / "brick.toml", "--out", made.parent)
    assert code == 1, error
    found = json.loads((made / "findings.json").read_text())["findings"]
    assert {"file-changed", "unreadable"} <= {f["code"] for f in found}
    assert {"X0", "X1"} <= {f["part"] for f in found if f["code"] == "file-changed"}


def test_changed_parameters_make_the_output_stale(brick_folder, made):
    """And before they change it is not."""
    check = ("check", brick_folder / "brick.toml", "--out", made.parent)
    assert "stale" not in command(*check)[2]
    text = (brick_folder / "brick.toml").read_text()
    (brick_folder / "brick.toml").write_text(text.replace("at = 120", "at = 121"))
    code, _, error = command(*check)
    assert code == 1 and "stale" in error


def test_a_killed_run_leaves_the_old_output_and_the_next_run_says_so(brick_folder, made):
    out = made.parent
    before = {p: p.read_bytes() for p in made.rglob("*") if p.is_file()}
    (made / "my-notes.txt").write_text("mine")
    environment = {**os.environ, "PYTHONPATH": str(ROOT)}
    run = subprocess.Popen(
        [sys.executable, "-m", "sections", "build", "brick.toml", "--out", str(out), "--processes", "1"],
        cwd=brick_folder, env=environment, stderr=subprocess.DEVNULL,
    )  # fmt: skip
    deadline = time.time() + 60
    while not partial_folder(made).is_dir() and time.time() < deadline:
        time.sleep(0.05)
    run.send_signal(signal.SIGKILL)
    run.wait()
    assert partial_folder(made).is_dir()
    assert all(p.read_bytes() == data for p, data in before.items())
    code, _, error = command("build", brick_folder / "brick.toml", "--out", out, "--processes", "1", "--no-check")
    assert code == 0 and "an earlier run" in error and "stopped" in error
    assert not partial_folder(made).exists()
    assert (made / "my-notes.txt").read_text() == "mine"


def test_one_run_at_a_time(brick_folder, made):
    """While a process holds an output folder no other run begins there, nothing of it is lost, and one begins once that
    process is gone, killed or not."""
    hold = (
        "import sys, time; from pathlib import Path; from sections.export.folder_lock import working_in\n"
        "with working_in(Path(sys.argv[1]), 'build', print): print('held', flush=True); time.sleep(60)"
    )
    environment = {**os.environ, "PYTHONPATH": str(ROOT)}
    arguments = [sys.executable, "-c", hold, str(made)]
    holder = subprocess.Popen(arguments, env=environment, stdout=subprocess.PIPE, text=True)
    try:
        assert holder.stdout.readline() == "held\n"
        before = {path: path.read_bytes() for path in made.rglob("*") if path.is_file()}
        for name in ("build", "check"):
            code, _, error = command(name, brick_folder / "brick.toml", "--out", made.parent)
            assert code == 3 and "another run is at work there" in error
        assert {path: path.read_bytes() for path in made.rglob("*") if path.is_file()} == before
    finally:
        holder.kill()
        holder.communicate()
    assert command("check", brick_folder / "brick.toml", "--out", made.parent)[0] == 0


@pytest.mark.xdist_group("pod")
def test_equal_input_gives_equal_bytes(pod, pod_folder):
    one, two = pod.out, build_quietly(pod_folder / "pod.toml", pod_folder / "two", anew=True)[1]
    names = sorted(p.relative_to(one) for p in one.rglob("*") if p.is_file())
    assert names == sorted(p.relative_to(two) for p in two.rglob("*") if p.is_file())
    assert [str(n) for n in names if (one / n).read_bytes() != (two / n).read_bytes()] == []


def test_only_one_section(brick, brick_folder):
    """The one section is the same, byte for byte, as in the whole build, and stands in a folder of its own."""
    code, _, error = command(
        "build", brick_folder / "brick.toml", "--only", "X0", "--out", brick_folder, "--processes", "1"
    )
    assert code == 0, error
    alone = brick_folder / "brick-X0"
    assert [p.name for p in (alone / "sections").glob("*.stl")] == ["X0.stl"]
    assert (alone / "sections" / "X0.stl").read_bytes() == (brick.out / "sections" / "X0.stl").read_bytes()


def test_new_then_build(tmp_path):
    """A starter written for a STEP body builds as it stands, without a finding, each step in plain lines, with
    pictures that show something, named in the manifest."""
    import cadquery as cq

    bar = cq.Workplane("XY").box(320, 90, 70, centered=(False, True, False)).edges("|X").chamfer(20)
    cq.exporters.export(bar, str(tmp_path / "bar.step"))
    mine = tmp_path / "params" / "mine.toml"
    code, _, error = command("new", mine, "--body", tmp_path / "bar.step")
    assert code == 0 and f"next: sections build {mine} --allow-outside" in error, error
    text = mine.read_text()
    assert 'units = "mm"' in text and "# thickness = 4.0" in text and 'id = "x1"' in text
    code, _, error = command("new", mine, "--body", tmp_path / "bar.step")
    assert code == 2 and "not there yet" in error and mine.read_text() == text
    out = tmp_path / "out"
    asked = ("--processes", "2", "--pictures", "--allow-outside")
    code, said, error = real_command("build", mine, "--out", out, *asked)
    assert code == 0, error
    assert "no findings" in error and "local codes" in error
    assert (out / "mine" / "findings.json").is_file()
    assert "\x1b" not in error + said and "\r" not in error, "without a terminal"
    for step in ("reading the body", "carving walls", "placing joints", "building sections"):
        assert step in error
    names = json.loads((out / "mine" / "manifest.json").read_text())["pictures"]
    assert len(names) == 3
    for name in names:
        assert 0.08 < drawn(out / "mine" / name) < 0.95, name


def drawn(picture):
    """Return what part of a picture's pixels is not background."""
    reader = vtkPNGReader()
    reader.SetFileName(str(picture))
    reader.Update()
    pixels = vtk_to_numpy(reader.GetOutput().GetPointData().GetScalars())
    return (np.abs(pixels.astype(int) - pixels[0]) > 12).any(1).mean()


def test_new_never_guesses_a_unit(brick, tmp_path):
    stl = next(brick.out.glob("sections/*.stl"))
    code, _, error = command("new", tmp_path / "mine.toml", "--body", stl)
    assert code == 2 and "--units" in error and not (tmp_path / "mine.toml").exists()


@pytest.mark.parametrize("key", [pytest.param("loose", marks=pytest.mark.slow), "fixed"])
def test_coupons(pod_folder, key):
    """Ten test prints and what they take, each read back and measured; holes within 0.03 of their marks."""
    text = (pod_folder / "pod.toml").read_text()
    (pod_folder / "pod.toml").write_text(f'{text}\n[keys]\nkind = "{key}"\n')
    code, _, error = command("coupon", pod_folder / "pod.toml", "--out", pod_folder)
    assert code == 0, error
    folder = pod_folder / "pod-coupons"
    kinds = {p["id"]: p["kind"] for p in json.loads((folder / "manifest.json").read_text())["parts"]}
    assert sum(kind == "coupon" for kind in kinds.values()) == 10
    # A key to try in the pockets, also where the body's own are printed on its sections.
    assert "key" in kinds.values() and "dowel" in kinds.values()
    measures = json.loads((folder / "findings.json").read_text())["measures"]
    by_part = {m["part"]: m["value"] for m in measures if m["name"] == "coupon-hole"}
    # ISO 273, M3: 3.2, 3.4, 3.6.
    for mark, hole in (("F", 3.2), ("M", 3.4), ("C", 3.6)):
        assert by_part[f"coupon-bolt:{mark}"] == pytest.approx(hole, abs=0.03)
    # The dowel is 4 mm; the hole marked 15 is 0.15 wider per side.
    assert by_part["coupon-dowel:15"] == pytest.approx(4.30, abs=0.03)
    assert by_part["coupon-dowel:slot-15"] == pytest.approx(4.30, abs=0.03)
    # An M4 insert takes a hole of 5.6 (makers' practice); marked in hundredths per side off it.
    assert by_part["coupon-insert-m4:0"] + 0.2 == pytest.approx(by_part["coupon-insert-m4:10"], abs=0.01)
    sizes = {m["part"]: m["value"] for m in measures if m["name"] == "coupon-size"}
    assert sizes["coupon-length:x-150"] == sizes["coupon-length:y-150"] == pytest.approx(150.0, abs=1e-3)
    assert sizes["coupon-height:height-40"] == pytest.approx(40.0, abs=1e-3)


def test_a_mistake_found_late_names_the_file(pod_folder):
    """Two crossing seams of one letter give two sections one name, which only cutting the body shows."""
    text = (pod_folder / "pod.toml").read_text().replace('id = "y1"', 'id = "x2"').replace("symmetric = true", "")
    (pod_folder / "twice.toml").write_text(text.replace("mirror = true", ""))
    code, _, said = command("build", pod_folder / "twice.toml", "--out", pod_folder / "late")
    assert code == 2 and "twice.toml, line " in said and ": seams.planes" in said and "would be used twice" in said
    assert [path for path in (pod_folder / "late").rglob("*") if path.is_file()] == []


def test_a_section_that_is_not_there(pod_folder):
    """step.tessellated names a section there is none of: said with its key, before anything is built."""
    text = (pod_folder / "pod.toml").read_text() + '\n[step]\ntessellated = ["X7R"]\n'
    (pod_folder / "none.toml").write_text(text)
    code, _, said = command("build", pod_folder / "none.toml", "--out", pod_folder / "late")
    assert code == 2 and "none.toml, line " in said and ": step.tessellated" in said and "X7R" in said and "X0R" in said
    assert not (pod_folder / "late" / "pod").exists()


def test_a_fault_of_the_program_is_no_traceback(pod_folder, monkeypatch):
    """What no part of the program expected ends the run with one message and exit code 5."""

    def broken(*args):
        raise RuntimeError("side location conflict\nat line 2")

    monkeypatch.setattr("sections.commands.inspect.run_inspect", broken)
    code, said, errors = command("inspect", str(pod_folder / "pod.toml"))
    assert code == 5 and "Traceback" not in said + errors
    assert "not of your file: RuntimeError: side location conflict\n" in errors and "untouched" in errors
    os.unlink(errors.split("details: ")[1].split(" (")[0])


def test_only_is_given_once(pod_folder):
    """Two sections asked for: neither is dropped in silence."""
    code, _, said = command(
        "build", pod_folder / "pod.toml", "--only", "X0R", "--only", "X1R", "--out", pod_folder / "out"
    )
    assert code == 2 and "--only = X0R, X1R" in said and "one section" in said and not (pod_folder / "out").exists()


def test_cautions_stand_with_the_parts(brick):
    """In the folder that goes to the workshop, of every kind of work the output leads to."""
    said = (brick.out / "CAUTIONS.txt").read_text("utf-8")
    for word in (
        "unwatched",
        "iron",
        "Adhesives",
        "dust",
        "PVC",
        "clamp guide",
        "Glass",
        "fatigue",
        "lean",
        "local codes",
    ):
        assert word in said


def test_what_is_too_long_is_said_unmeasured(brick_folder):
    """The brick's sections are 120 long: on a bed of 110 that is known without measuring."""
    text = (brick_folder / "brick.toml").read_text("utf-8") + "\n[printer]\nbed = [110, 110, 110]\n"
    (brick_folder / "small.toml").write_text(text.replace('name = "brick"', 'name = "small"'))
    code, _, said = command("build", brick_folder / "small.toml", "--out", brick_folder / "out", "--no-check")
    assert code == 1 and "off-bed  X" in said and "too long along bed" in said and "not measured" in said


def test_new_from_a_script(pod_folder):
    """A starter for a Python function: mm, as CadQuery has it; that the pod is its own mirror image stands in it."""
    code, _, error = command("new", pod_folder / "params" / "mine.toml", "--body", str(pod_folder / "pod.py") + ":body")
    assert code == 0, error
    text = (pod_folder / "params" / "mine.toml").read_text("utf-8")
    assert (
        'script = "../pod.py:body"' in text and "# symmetric = true" in text and "mirror image in y = 0 within" in text
    )
    assert load_settings(pod_folder / "params" / "mine.toml", Given(allow_outside=True)).body.units == "mm"
    for table in ("hardpoints", "wheels", "keepouts", "printers", "jig", "guides"):
        assert f"{table}]" in text
    code, _, error = command("new", pod_folder / "other.toml", "--body", str(pod_folder / "none.py") + ":body")
    assert code == 2 and "a file that exists" in error
