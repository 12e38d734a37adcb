"""What processes keep of an output folder, held against the folder as it is."""

import json

from sections.export.read_once import read_anew, read_once
from tests.shared import command

SCRIPT = """
import cadquery as cq


def body(high):
    return cq.Workplane("XY").box(260, 70, high, centered=(False, True, False)).edges("|X").chamfer(12)
"""
# Five sections or more are shared out among processes.
FILE = """name = "row"

[dimensions]
high = 60

[body]
script = "row.py:body"
units = "mm"

[seams]
even = [{ family = "x", axis = "x", start = 0, stop = 260, apart = 52 }]

[output]
formats = ["stl"]
"""


def test_what_is_measured_is_what_lies_there(tmp_path):
    """A build over an earlier one, whose processes read that to compare: all it measures is as a run measures it
    that begins afterwards and takes nothing kept."""
    (tmp_path / "row.py").write_text(SCRIPT)
    (tmp_path / "row.toml").write_text(FILE)
    edit = ["--set", "high=64"]
    for more in (["--no-check"], edit):
        code, _, said = command("build", tmp_path / "row.toml", "--out", tmp_path, "--processes", "2", *more)
        assert code in (0, 1), said
    assert "5 came out different" in said
    built = json.loads((tmp_path / "row" / "findings.json").read_text())
    command("check", tmp_path / "row.toml", "--out", tmp_path, "--anew", *edit)
    again = json.loads((tmp_path / "row" / "findings.json").read_text())
    assert built["measures"] == again["measures"] and built["findings"] == again["findings"]


def test_read_again_once_a_build_wrote_there(tmp_path):
    """Kept while the manifest is the same file; read anew when another takes its place, or all is to be forgotten."""
    calls = []

    @read_once(4)
    def reading(out, name):
        calls.append(name)
        return len(calls)

    (tmp_path / "manifest.json").write_text("{}")
    assert reading(tmp_path, "a") == reading(tmp_path, "a") == 1
    assert reading(tmp_path, "b") == 2
    (tmp_path / "new").write_text("{}")
    (tmp_path / "new").replace(tmp_path / "manifest.json")
    assert reading(tmp_path, "a") == 3
    read_anew()
    assert reading(tmp_path, "a") == 4 and calls == ["a", "b", "a", "a"]
