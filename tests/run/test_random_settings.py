"""Random valid settings on a small body: built, measured, no finding."""

from pathlib import Path
from tempfile import TemporaryDirectory

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from sections.errors import BadInput
from sections.run.checking import check_output
from tests.shared import build_quietly, quiet_pool

BOX = """
import cadquery as cq


def body():
    return cq.Workplane("XY").box(160, 120, 90).edges("|X").{}
"""


def text(wall, thickness, height, bolt, key_width, key_fit, dowel_fit, at, lean):
    return f"""
name = "box"
[body]
script = "box.py:body"
units = "mm"
[seams]
planes = [{{ id = "x1", normal = [1.0, {lean}, 0.0], at = {at} }}]
[[openings]]
id = "floor"
kind = "box"
low = [-62, -39, -50]
high = [62, 39, -12]
[wall]
thickness = {wall}
[flange]
thickness = {thickness}
height = {height}
[bolts]
size = "{bolt}"
pitch = {min(14 * thickness, 80)}
[keys]
width = {key_width}
height = {round(thickness - 2.1, 2)}
[output]
formats = ["stl", "3mf"]
[dowels]
length = {round(2 * (thickness - 2.1), 2)}
[fits]
key = {key_fit}
dowel = {dowel_fit}
"""


CASES = st.builds(
    text,
    wall=st.floats(2.0, 6.0).map(lambda v: round(v, 2)),
    thickness=st.floats(6.2, 9.0).map(lambda v: round(v, 2)),
    height=st.floats(25.0, 32.0).map(lambda v: round(v, 2)),
    bolt=st.sampled_from(["M3", "M4"]),
    key_width=st.floats(4.0, 6.0).map(lambda v: round(v, 2)),
    key_fit=st.floats(0.08, 0.3).map(lambda v: round(v, 3)),
    dowel_fit=st.floats(0.05, 0.2).map(lambda v: round(v, 3)),
    at=st.floats(-20.0, 20.0).map(lambda v: round(v, 2)),
    lean=st.floats(-0.25, 0.25).map(lambda v: round(v, 3)),
)


def run(case, edges):
    """Build and check a case, long edges bevelled or rounded; a contradiction is refused with its key: no failure."""
    with TemporaryDirectory() as held:
        folder = Path(held)
        (folder / "box.py").write_text(BOX.format(edges))
        (folder / "box.toml").write_text(case)
        try:
            chosen, out, body = build_quietly(folder / "box.toml", folder / "out")
        except BadInput as refused:
            assert all(problem.key and problem.limit and problem.remedy for problem in refused.problems)
            return
        report = check_output(chosen, folder, out, quiet_pool(), body)
        assert [str(finding) for finding in report.findings if finding.level != "note"] == []


@settings(max_examples=5, deadline=None, derandomize=True, suppress_health_check=list(HealthCheck))
@given(CASES)
def test_few(case):
    run(case, "chamfer(12)")


@pytest.mark.slow
@settings(max_examples=120, deadline=None, suppress_health_check=list(HealthCheck))
@given(CASES)
def test_many(case):
    run(case, "fillet(25)")
