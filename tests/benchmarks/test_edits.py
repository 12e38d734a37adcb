"""What an edit costs, as a part of a cold build of the same body in the same run: print files, STEP and checks.

Run by hand: pytest -m benchmark -s tests/benchmarks/test_edits.py. It writes edits.json beside itself.
"""

import json
import os
import subprocess
import sys
import time
from pathlib import Path

import pytest

from tests.shared import ROOT

pytestmark = pytest.mark.benchmark

SCRIPT = """import cadquery as cq

TAIL = 0.0


def body():
    block = cq.Workplane("XY").box(1150, 560, 520, centered=(False, True, False)).edges("|X").fillet(90)
    return block.faces(">X").workplane().rect(300, 200).workplane(offset=20 + TAIL).rect(200, 120).loft(combine=True)
"""
PARAMETERS = """name = "edits"

[body]
script = "edits.py:body"
units = "mm"
symmetric = true

[seams]
planes = [
    { id = "x1", axis = "x", at = 288, bolted = "room" },
    { id = "x2", axis = "x", at = 576, bolted = "room" },
    { id = "x3", axis = "x", at = 864, bolted = "room" },
    { id = "y1", axis = "y", at = 0, bolted = "room" },
    { id = "z1", axis = "z", at = 260, bolted = "room" },
]

[[openings]]
id = "floor"
kind = "box"
low = [60.0, -190.0, -20.0]
high = [1090.0, 190.0, 40.0]

[[bosses]]
id = "lamp"
at = [420.0, 150.0, 480.0]
axis = [0.0, 0.0, -1.0]
insert = "M4"
mirror = true

[fits]
key = 0.2

[wall]
thickness = 4.0
"""
# (what is edited, file, old, new; the bar: at most so many hundredths of a cold build, None for a second in all)
EDITS = (
    ("nothing", "edits.toml", "", "", None),
    ("a boss moved", "edits.toml", "at = [420.0, 150.0", "at = [425.0, 150.0", 3.0),
    ("a seam moved by 2 mm", "edits.toml", "at = 576,", "at = 578,", 10.0),
    ("a key's fit", "edits.toml", "key = 0.2", "key = 0.25", 35.0),
    ("the tail's surface", "edits.py", "TAIL = 0.0", "TAIL = 4.0", 100.0),
    ("the wall", "edits.toml", "thickness = 4.0", "thickness = 4.4", 110.0),
)


def run(folder, *more):
    """Build; return (seconds, peak MB of the largest process, last line)."""
    environment = {**os.environ, "PYTHONPATH": str(ROOT), "SECTIONS_RESULTS": str(folder / "results")}
    arguments = [sys.executable, "-m", "sections", "build", "edits.toml", "--out", "out", *more]
    began = time.perf_counter()
    with (folder / "said.txt").open("w+") as said:
        running = subprocess.Popen(arguments, cwd=folder, env=environment, stdout=said, stderr=said)
        _, status, usage = os.wait4(running.pid, 0)
        running.returncode = os.waitstatus_to_exitcode(status)
        seconds = time.perf_counter() - began
    last = (folder / "said.txt").read_text().strip().splitlines()[-1]
    assert running.returncode in (0, 1), last
    return seconds, usage.ru_maxrss / 1024, last


def test_edits(tmp_path):
    (tmp_path / "edits.py").write_text(SCRIPT)
    (tmp_path / "edits.toml").write_text(PARAMETERS)
    cold, peak, last = run(tmp_path)
    print(f"\ncold: {cold:.0f} s, {peak:.0f} MB, {last}")
    figures = {"cold, s": round(cold, 1), "cold, MB": round(peak)}
    for what, name, old, new, bar in EDITS:
        text = (tmp_path / name).read_text()
        assert old in text
        (tmp_path / name).write_text(text.replace(old, new))
        seconds, peak, last = run(tmp_path)
        part = 100 * seconds / cold
        asked = "1 s" if bar is None else f"{bar:g} %"
        print(f"{what}: {seconds:.1f} s, {part:.1f} % of cold ({asked} asked), {peak:.0f} MB, {last}")
        figures[what] = {"s": round(seconds, 1), "per cent of cold": round(part, 1), "asked": asked}
    (Path(__file__).parent / "edits.json").write_text(json.dumps(figures, indent=1) + "\n", "utf-8")
