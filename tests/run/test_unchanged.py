"""A build that would make the same again is known without making it; where anything that went into it or came out of it
changed, it is made."""

import json
import shutil
import subprocess
import sys
from dataclasses import replace

import pytest

from sections.body import noting_files
from sections.body.foreign import foreign_script
from sections.export.digest import read_digests
from sections.export.own_files import note_written
from sections.results import Store, sha256_of
from sections.results.sources import not_followed
from sections.run.unchanged import RunTask, keep_run, same_run
from sections.settings import load_settings
from tests.shared import ROOT, command

HELPED = """
import json
from pathlib import Path

import cadquery as cq
import sizes

wide = json.loads((Path(__file__).parent / "wide.json").read_text())


def body():
    return cq.Workplane("XY").box(sizes.LONG, wide, 100, centered=(False, True, False)).edges("|X").chamfer(20)
"""


@pytest.fixture
def helped(brick_folder):
    """The brick, its script with a module and a data file beside it."""
    (brick_folder / "brick.py").write_text(HELPED)
    (brick_folder / "sizes.py").write_text("LONG = 240\n")
    (brick_folder / "wide.json").write_text("120")
    return brick_folder


def test_what_a_script_reads_is_noted(helped):
    """Itself, the module it imports and the data it opens; no library, and nothing that is not asked for."""
    with noting_files() as read:
        foreign_script("brick.py:body", helped, "body.script")
    names = read_digests(read, helped)
    assert set(names) == {"brick.py", "sizes.py", "wide.json"}
    assert names["sizes.py"] == sha256_of(helped / "sizes.py")
    foreign_script("brick.py:body", helped, "body.script")
    assert len(read) == 3


def test_a_module_edited_within_a_second_is_read_anew(helped):
    """Of equal size and time, Python would take its compile of the older one."""
    before = foreign_script("brick.py:body", helped, "body.script")
    state = (helped / "sizes.py").stat()
    (helped / "sizes.py").write_text("LONG = 250\n")
    shutil.os.utime(helped / "sizes.py", ns=(state.st_atime_ns, state.st_mtime_ns))
    from sections.solids.exact_solid import ExactSolid

    after = foreign_script("brick.py:body", helped, "body.script")
    assert [round(ExactSolid(shape).bounds[1, 0]) for shape in (before, after)] == [240, 250]


@pytest.fixture
def left(helped, tmp_path):
    """(store, task, as if a run had left its folder)."""
    target = tmp_path / "out" / "brick"
    (target / "sections").mkdir(parents=True)
    for name in ("sections/X0.stl", "sections/X1.stl", "findings.json", "manifest.json"):
        (target / name).write_text(name)
    note_written(target, "build")
    task = RunTask.of(load_settings(helped / "brick.toml"), helped, ("build", None, False), target)
    store = Store(tmp_path / "store", "this code")
    sources = {name: sha256_of(helped / name) for name in ("brick.py", "sizes.py", "wide.json")}
    keep_run(store, task, sources, ["two sections"])
    return store, task


def test_the_same_again(left):
    store, task = left
    assert same_run(store, task).said == ("two sections",)
    assert same_run(None, task) is None, "with --anew nothing is taken"


CHANGES = {
    "a key": lambda store, task: (store, replace(task, settings=_with_wall(task.settings, 5.0))),
    "an option": lambda store, task: (store, replace(task, options=("build", None, True))),
    "the code": lambda store, task: (replace(store, code="other code"), task),
    "the script": lambda store, task: (task.folder / "brick.py").write_text(HELPED + "\n"),
    "a module of the script": lambda store, task: (task.folder / "sizes.py").write_text("LONG = 241\n"),
    "data of the script": lambda store, task: (task.folder / "wide.json").write_text("121"),
    "data that is gone": lambda store, task: (task.folder / "wide.json").unlink(),
    "a file that came out": lambda store, task: (task.target / "sections" / "X0.stl").write_text("filed"),
    "one that is gone": lambda store, task: (task.target / "sections" / "X1.stl").unlink(),
    "the findings": lambda store, task: (task.target / "findings.json").write_text("{}"),
    "the list of files": lambda store, task: (task.target / ".written.json").write_text(json.dumps({"files": []})),
}


def _with_wall(settings, thickness):
    return settings.model_copy(update={"wall": settings.wall.model_copy(update={"thickness": thickness})})


@pytest.mark.parametrize("name", CHANGES)
def test_what_changed_is_made_again(left, name):
    changed = CHANGES[name](*left)
    store, task = changed if isinstance(changed, tuple) else left
    assert same_run(store, task) is None


def test_what_is_the_users_counts_for_nothing(left):
    store, task = left
    (task.target / "my notes.txt").write_text("first print on Monday")
    (task.folder / "other.py").write_text("x = 1")
    assert same_run(store, task) is not None


def test_by_the_command(helped):
    """The second build says so, and what the first said; it reads no CAD kernel. An edit of the module beside the
    script is found by build and by check."""
    out = helped / "out"
    code, _, said = command("build", helped / "brick.toml", "--out", out)
    assert code == 0 and "nothing changed" not in said
    again = [sys.executable, "-X", "importtime", "-m", "sections", "build", "brick.toml", "--out", "out"]
    done = subprocess.run(again, cwd=helped, env={**shutil.os.environ, "PYTHONPATH": str(ROOT)}, capture_output=True,
                          text=True, check=False)  # fmt: skip
    assert done.returncode == 0 and "nothing changed since it was built" in done.stderr
    assert "no findings" in done.stderr and "Printed sections are a form" in done.stderr
    read = {line.split("|")[-1].strip() for line in done.stderr.splitlines() if line.startswith("import time")}
    assert len(read) > 100 and not read & {"OCP", "cadquery", "igl", "manifold3d", "vtkmodules", "trimesh"}
    (helped / "sizes.py").write_text("LONG = 242\n")
    code, _, said = command("check", helped / "brick.toml", "--out", out)
    assert code == 1 and "build again" in said
    code, _, said = command("stackup", helped / "brick.toml", "--out", out)
    assert code == 3 and "not a whole build of these parameters" in said
    code, _, said = command("build", helped / "brick.toml", "--out", out)
    assert code == 0 and "sizes.py itself" in said


def test_what_changes_while_it_runs_belongs_to_the_next_run(left):
    """The script saved again in the midst: what the run left is not taken for what the new script makes."""
    store, task = left
    (task.folder / "brick.py").write_text(HELPED + "\n")
    sources = {name: sha256_of(task.folder / name) for name in ("brick.py", "sizes.py", "wide.json")}
    keep_run(store, task, sources, ["two sections"])
    assert same_run(store, RunTask.of(task.settings, task.folder, task.options, task.target)) is None


def test_what_another_program_took_part_in_is_made_every_time(left, tmp_path):
    _, task = left
    store = Store(tmp_path / "other store", "this code")
    keep_run(store, task, {"brick.py": sha256_of(task.folder / "brick.py")} | {not_followed("os.system"): ""}, [])
    assert same_run(store, task) is None
