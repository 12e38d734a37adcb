"""How the time of a cold build grows with the number of sections: a bevelled box that is cut into more and more.

Run by hand: pytest -m benchmark -s tests/benchmarks/test_growth.py. Seconds of one machine, one run after the other;
asked for is the exponent p of t = n to the p, between one count and the next. Counts are those of the cells on the
surface of a grid of a x b x c: abc - (a - 2)(b - 2)(c - 2).
"""

import json
import math

import pytest

from tests.benchmarks.test_main_job import COMMAND, timed
from tests.shared import ROOT

pytestmark = pytest.mark.benchmark
# Cells along x, y and z: 56, 194 and 818 sections. mm; of one cell.
GRIDS = ((4, 4, 4), (6, 7, 7), (12, 13, 13))
CELL = 270.0
ASKED = 1.1


def write(folder, grid):
    """Write a box of so many cells a side, and its parameter file; return that."""
    sides = [CELL * count for count in grid]
    (folder / "crates.py").write_text(
        f"import cadquery as cq\n\n\ndef body():\n    return cq.Workplane().box{tuple(sides)}.edges().chamfer(20)\n"
    )
    planes = [
        f'{{ id = "{axis}{number}", axis = "{axis}", at = {CELL * number - side / 2}, bolted = "room" }}'
        for axis, side, count in zip("xyz", sides, grid, strict=True)
        for number in range(1, count)
    ]
    text = (
        f'name = "crates"\n[body]\nscript = "crates.py:body"\nunits = "mm"\n[seams]\nplanes = [{", ".join(planes)}]\n'
    )
    (folder / "crates.toml").write_text(f'{text}[output]\nformats = ["stl"]\n')
    return folder / "crates.toml"


def test_growth(monkeypatch, tmp_path):
    took = {}
    for grid in GRIDS:
        a, b, c = grid
        count = a * b * c - (a - 2) * (b - 2) * (c - 2)
        folder = tmp_path / f"{count}"
        folder.mkdir()
        monkeypatch.setenv("SECTIONS_RESULTS", str(folder / "results"))
        arguments = [*COMMAND, "build", str(write(folder, grid)), "--out", str(folder), "--no-check"]
        seconds, peak, code, last = timed(arguments)
        assert code == 0, last
        manifest = json.loads((folder / "crates" / "manifest.json").read_text())
        assert sum(part["kind"] == "section" for part in manifest["parts"]) == count
        took[count] = seconds
        print(f"\n{count} sections: {seconds:.0f} s, {peak:.0f} MB")
    counts = sorted(took)
    powers = [math.log(took[n] / took[m]) / math.log(n / m) for m, n in zip(counts, counts[1:], strict=False)]
    print(f"\nt = n to the {', '.join(f'{power:.2f}' for power in powers)}; asked: {ASKED}")
    found = {"s": took, "powers": powers, "asked": ASKED}
    (ROOT / "tests" / "benchmarks" / "growth.json").write_text(json.dumps(found, indent=1) + "\n")
    assert max(powers) <= ASKED
