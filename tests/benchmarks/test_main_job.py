"""Seconds and peak memory of the main job, beside two loops a builder might write by hand, neither with joints.

Run by hand: pytest -m benchmark -s tests/benchmarks. Figures are ratios on one machine, one after the other.
"""

import resource
import subprocess
import sys
import time

import pytest

from tests.conftest import ROOT

pytestmark = pytest.mark.benchmark

PLAIN_CADQUERY = """
import sys; sys.path.insert(0, "params")
import cadquery as cq, ahmed, pathlib
out = pathlib.Path(sys.argv[1])
body = ahmed.body().val().scale(4)
solid = cq.Solid(body.wrapped)
shell = solid.hollow([], -4.0)
bb = body.BoundingBox(); count = 0
steps = (278.4, 259.0, 288.0)
cells = [range(int(-(-s // d))) for s, d in zip((bb.xlen, bb.ylen, bb.zlen), steps)]
for i in cells[0]:
    for j in cells[1]:
        for k in cells[2]:
            at = (bb.xmin + i * steps[0], bb.ymin + j * steps[1], bb.zmin + k * steps[2])
            piece = shell.intersect(cq.Solid.makeBox(*steps, cq.Vector(*at)))
            if piece.Solids():
                cq.exporters.export(cq.Workplane(piece), str(out / f"{count}.step"))
                cq.exporters.export(cq.Workplane(piece), str(out / f"{count}.stl"))
                count += 1
print(count)
"""

PLAIN_TRIMESH = """
import sys; sys.path.insert(0, "params")
import numpy as np, trimesh, ahmed, pathlib
out = pathlib.Path(sys.argv[1])
body = ahmed.body().val().scale(4)
v, f = body.tessellate(0.1, 0.1)
skin = trimesh.Trimesh([p.toTuple() for p in v], f).subdivide_to_size(40.0, max_iter=12)
inner = skin.copy(); inner.vertices = inner.vertices - 4.0 * inner.vertex_normals
shell = trimesh.boolean.difference([skin, inner], engine="manifold")
low, high = skin.bounds; steps = np.array([278.4, 259.0, 288.0]); count = 0
for index in np.ndindex(*np.ceil((high - low) / steps).astype(int)):
    box = trimesh.creation.box(steps, trimesh.transformations.translation_matrix(low + (np.array(index) + 0.5) * steps))
    piece = trimesh.boolean.intersection([shell, box], engine="manifold")
    if len(piece.faces):
        piece.export(out / f"{count}.stl"); count += 1
print(count)
"""


def timed(arguments):
    """Run a program; return (seconds, peak MB of the largest process, exit code, last line)."""
    start = time.perf_counter()
    done = subprocess.run(arguments, cwd=ROOT, capture_output=True, text=True, check=False)
    seconds = time.perf_counter() - start
    peak = resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss / 1024
    last = (done.stdout + done.stderr).strip().splitlines()[-1:]
    return seconds, peak, done.returncode, last


def test_loops_by_hand(tmp_path):
    for name, program in (("plain CadQuery", PLAIN_CADQUERY), ("plain trimesh", PLAIN_TRIMESH)):
        (tmp_path / name).mkdir()
        seconds, peak, code, last = timed([sys.executable, "-c", program, str(tmp_path / name)])
        print(f"\n{name}, 4x Ahmed, no joints: {seconds:.0f} s, {peak:.0f} MB, exit {code}, {last}")
        assert code == 0, last


@pytest.mark.parametrize("name", ["plover", "ahmed"])
def test_main_job(name, tmp_path):
    text = (ROOT / "params" / f"{name}.toml").read_text()
    parameters = ROOT / "params" / f".benchmark-{name}.toml"
    parameters.write_text(text + '\n[output]\nformats = ["stl", "3mf"]\n')
    try:
        command = [sys.executable, "-m", "sections"]
        build = timed([*command, "build", str(parameters), "--out", str(tmp_path), "--no-check"])
        check = timed([*command, "check", str(parameters), "--out", str(tmp_path)])
    finally:
        parameters.unlink()
    for what, (seconds, peak, code, last) in (("build", build), ("check", check)):
        print(f"\n{name} {what}: {seconds:.0f} s, {peak:.0f} MB, exit {code}, {last}")
        assert code == 0
