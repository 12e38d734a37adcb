"""A walk of random edits of a body's dimensions, within their limits: each ends in a build without a finding, or in a
refusal that names what to change."""

from random import Random

import pytest

from sections.errors import BadInput
from sections.run.build import BuildOptions, build
from sections.run.checking import check_output
from sections.settings import Given, load_settings
from tests.shared import quiet_pool

FILE = """name = "walked"

[dimensions]
long = { value = 300, least = 200, most = 420 }
wide = { value = 150, least = 120, most = 190 }
high = { value = 110, least = 95, most = 140 }
edge = { value = 25, least = 12, most = 32 }
cut = { value = 0.5, unit = "", least = 0.42, most = 0.58 }
lean = { value = 0, unit = "deg", least = -12, most = 12 }

[body]
script = "walked.py:body"
units = "mm"

[seams]
planes = [{ id = "x1", normal = ["cos(lean)", "sin(lean)", 0], at = "cut * long * cos(lean)" }]

[[openings]]
id = "floor"
kind = "box"
low = [20, "-wide / 2 + 26", -10]
high = ["long - 20", "wide / 2 - 26", 30]

[[openings]]
id = "lamp"
kind = "cylinder"
seen = { side = "front", at = [0, "high / 2 + 8"] }
radius = 14
length = 30

[[bosses]]
id = "catch"
insert = "M3"
seen = { side = "top", at = ["long * 0.24", "wide / 8"] }

[[hardpoints]]
id = "mount"
insert = "M4"
seen = { side = "right", at = ["long * 0.72", "high / 2"], below = 26 }
tool_reach = 30

[output]
formats = ["stl"]
"""
SCRIPT = """
import cadquery as cq


def body(long, wide, high, edge):
    return cq.Workplane("XY").box(long, wide, high, centered=(False, True, False)).edges("|X").fillet(edge)
"""


def walk(folder, steps, seed):
    """Edit one dimension after another; return how many were built, and what was wrong: (edit, what was said)."""
    (folder / "walked.py").write_text(SCRIPT)
    (folder / "walked.toml").write_text(FILE)
    limits = {name: (one.least, one.most) for name, one in load_settings(folder / "walked.toml").dimensions.items()}
    rng, values, built, wrong = Random(seed), {}, 0, []
    for _ in range(steps):
        name = rng.choice(sorted(limits))
        values[name] = f"{rng.uniform(*limits[name]):.2f}"
        try:
            settings = load_settings(folder / "walked.toml", Given(dict(values)))
            made = build(settings, folder, BuildOptions(folder / "out"), quiet_pool())
        except BadInput as refused:
            if not all(problem.key and problem.limit and problem.remedy for problem in refused.problems):
                wrong.append((dict(values), str(refused)))
            continue
        built += 1
        report = check_output(settings, folder, folder / "out", quiet_pool(), made.body)
        wrong += [(dict(values), str(finding)) for finding in report.findings if finding.level != "note"]
    return built, wrong


def test_a_few_edits(tmp_path):
    assert walk(tmp_path, 2, seed=1) == (2, [])


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(10, 20))
def test_many_edits(tmp_path, seed):
    built, wrong = walk(tmp_path, 20, seed)
    assert wrong == [] and built >= 15
