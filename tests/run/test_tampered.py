"""Output folders that were changed since: findings, or a refusal in words; nothing outside the folder is read.

The ways are our own. Exit codes as README has them: 1 findings, 3 output folder refused.
"""

import hashlib
import json
import os
import shutil
import time

import pytest

from tests.shared import command

pytestmark = pytest.mark.xdist_group("brick")


@pytest.fixture
def copied(brick, tmp_path):
    """The brick's folder, its output and all, for the test to spoil."""
    shutil.copytree(brick.folder, tmp_path / "it")
    return tmp_path / "it"


def checked(folder, what="check"):
    began = time.monotonic()
    code, said, errors = command(what, folder / "brick.toml", "--out", folder / "built")
    assert time.monotonic() - began < 60
    assert "Traceback" not in said + errors and "a fault of this program, not of" not in said + errors, said + errors
    assert not any(ord(letter) < 32 and letter not in "\n\t" for letter in said + errors)
    return code, said + errors


def output(folder):
    """Where the command looks for what the fixture built."""
    (folder / "built").mkdir(exist_ok=True)
    place = folder / "built" / "brick"
    if not place.exists():
        shutil.move(folder / "out", place)
    return place


def edited(path, change):
    """Change JSON in place."""
    data = json.loads(path.read_text())
    change(data)
    path.write_text(json.dumps(data))


def sealed(out):
    """Have the manifest say of the plan what it is now, as one would who means it."""
    content = (out / "plan.json").read_bytes()
    record = {"bytes": len(content), "sha256": hashlib.sha256(content).hexdigest()}
    edited(out / "manifest.json", lambda manifest: manifest["plan"].update(record))


def test_untouched(copied):
    output(copied)
    assert checked(copied)[0] == 0


@pytest.mark.parametrize("spoil", ["gone", "empty", "noise", "a folder", "a pipe", "a link out", "cut"])
def test_a_section_whose_stl_is(copied, tmp_path, spoil):
    out = output(copied)
    path = out / "sections" / "X0.stl"
    content = path.read_bytes()
    path.unlink()
    (tmp_path / "else.stl").write_bytes(content)
    if spoil == "a folder":
        path.mkdir()
    elif spoil == "a pipe":
        os.mkfifo(path)
    elif spoil == "a link out":
        path.symlink_to(tmp_path / "else.stl")
    elif spoil != "gone":
        path.write_bytes({"empty": b"", "noise": bytes(range(256)) * 40, "cut": content[:3000]}[spoil])
    code, said = checked(copied)
    assert (code, "outside the folder" in said) == ((3, True) if spoil == "a link out" else (1, False)), said
    assert "X0" in said
    code, said = checked(copied, "stackup")
    assert code == 3 and "build again" in said


@pytest.mark.parametrize("name", ["manifest.json", "plan.json"])
@pytest.mark.parametrize("text", [None, "", "[]", "{}", "[" * 100_000, '{"schema": 1}', "\x00\x01", "nul"])
def test_paper_that_is_none(copied, name, text):
    out = output(copied)
    (out / name).unlink()
    if text is not None:
        (out / name).write_text(text)
    code, said = checked(copied)
    assert code == 3 and name in said and "build" in said


@pytest.mark.parametrize("path", ["../../else.stl", "/etc/passwd", "sections/../../../else.stl", "a\u0000b"])
def test_a_file_outside_the_folder(copied, path):
    out = output(copied)
    edited(out / "manifest.json", lambda manifest: manifest["parts"][0]["files"][0].update(path=path))
    code, said = checked(copied)
    assert code == 3 and "outside the folder" in said


@pytest.mark.parametrize(
    "change",
    [
        {"count": -1}, {"count": 10**12}, {"volume_mm3": -5.0}, {"size": [1.0, -2.0, 3.0]}, {"growth": [0.0, 1.0, 1.0]},
        {"id": "another's"}, {"id": "X0\u001b[2J"}, {"id": "../X0"}, {"id": ""}, {"kind": "bomb"},
        {"size": ["a", 1, 2]},
    ],
    ids=str,
)  # fmt: skip
def test_parts_that_make_no_sense(copied, change):
    out = output(copied)

    def spoil(manifest):
        first, second = manifest["parts"][:2]
        first.update({"id": second["id"]} if change == {"id": "another's"} else change)

    edited(out / "manifest.json", spoil)
    code, said = checked(copied)
    assert code == 3 and "manifest.json" in said


def test_a_plan_that_is_not_as_it_was_written(copied):
    out = output(copied)
    edited(out / "plan.json", lambda plan: plan["sections"].pop())
    code, said = checked(copied)
    assert code == 1 and "plan.json is not as it was written" in said and "nothing was measured" in said


def test_a_plan_of_other_sections(copied):
    """And the manifest says it is right."""
    out = output(copied)
    edited(out / "plan.json", lambda plan: plan["sections"].pop())
    sealed(out)
    code, said = checked(copied)
    assert code == 1 and "other sections" in said


def test_a_plan_with_a_joint_moved(copied):
    """By 5 mm, and the manifest says it is right: the built parts tell."""
    out = output(copied)

    def move(plan):
        plan["joints"][0]["frame"]["origin"][1] += 5.0

    edited(out / "plan.json", move)
    sealed(out)
    code, said = checked(copied)
    assert code == 1 and "joint" in said or "bolt" in said or "dowel" in said, said
