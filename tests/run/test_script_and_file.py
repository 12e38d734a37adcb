"""A body from a script and the same body written out as STEP give the same sections."""

import cadquery as cq
import pytest

from sections.body.script import run_script
from sections.export.manifest import read_manifest
from sections.measuring.reading import read_plan
from tests.shared import ROOT, build_quietly, real_command


def compare(one, two):
    """Both builds hold the same sections, joints and loose pieces, every STL equal to the byte."""
    first, second = (read_manifest(out) for out in (one, two))
    files = [{p.id: [f.sha256 for f in p.files if f.format == "stl"] for p in m.parts} for m in (first, second)]
    assert all(len(shas) == 1 for shas in files[0].values())
    assert files[0] == files[1]
    plans = [read_plan(out) for out in (one, two)]
    assert plans[0].joints == plans[1].joints and len(plans[0].joints) >= 5


ROUND = """
import cadquery as cq


def body():
    block = cq.Workplane("XY").box(240, 140, 110, centered=(False, True, False))
    return block.edges("|X").fillet(30).faces("<X or >X").edges().fillet(15)
"""


def test_round_all_about(brick_folder):
    """A body rounded in both directions, whose triangles are OCC's alone."""
    (brick_folder / "brick.py").write_text(ROUND)
    text = (brick_folder / "brick.toml").read_text().replace('formats = ["stl", "3mf"]', 'formats = ["stl"]')
    (brick_folder / "brick.toml").write_text(text)
    script = build_quietly(brick_folder / "brick.toml", brick_folder / "script")[1]
    cq.exporters.export(
        cq.Shape.cast(run_script("brick.py:body", brick_folder, "body.script", {})), str(brick_folder / "brick.step")
    )
    (brick_folder / "file.toml").write_text(text.replace('script = "brick.py:body"', 'file = "brick.step"'))
    compare(script, build_quietly(brick_folder / "file.toml", brick_folder / "file")[1])


@pytest.mark.slow
def test_plover(tmp_path):
    import sys

    sys.path.insert(0, str(ROOT / "params"))
    import plover

    cq.exporters.export(cq.Workplane(plover.body()), str(tmp_path / "plover.step"))
    (tmp_path / "plover.py").write_text((ROOT / "params" / "plover.py").read_text())
    text = (ROOT / "params" / "plover.toml").read_text() + '\n[output]\nformats = ["stl", "3mf"]\n'
    (tmp_path / "script.toml").write_text(text)
    (tmp_path / "file.toml").write_text(text.replace('script = "plover.py:body"', 'file = "plover.step"'))
    for name in ("script", "file"):
        arguments = (tmp_path / f"{name}.toml", "--out", tmp_path / name, "--no-check")
        assert real_command("build", *arguments, timeout=900)[0] == 0
    compare(tmp_path / "script" / "plover", tmp_path / "file" / "plover")
