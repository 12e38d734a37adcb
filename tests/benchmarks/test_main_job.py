"""Seconds and peak memory of the main job, beside two loops a builder might write by hand, neither with joints.

Run by hand: pytest -m benchmark -s tests/benchmarks. Figures are ratios on one machine, one after the other.
"""

import json
import os
import subprocess
import sys
import tempfile
import time

import pytest

from tests.shared import ROOT

pytestmark = pytest.mark.benchmark

# What both loops begin with: the body, and the steps between box cuts that fit its pieces to the bed.
_BODY = """
import sys, pathlib, importlib; sys.path.insert(0, "params")
import cadquery as cq, numpy as np
out, name = pathlib.Path(sys.argv[1]), sys.argv[2]
made = importlib.import_module(name).body()
made = made.val() if isinstance(made, cq.Workplane) else made
body = made.Solids()[0].scale(4 if name == "ahmed" else 1)
steps = (278.4, 259.0, 288.0) if name == "ahmed" else (262.0, 288.0, 210.0)
count = 0
"""

PLAIN_CADQUERY = (
    _BODY
    + """
shell = cq.Solid(body.wrapped).hollow([], -4.0)
if not shell.isValid() or shell.Volume() <= 0:
    sys.exit(f"OCC's offset shell is no valid solid, volume {shell.Volume():.0f} mm3")
bb = body.BoundingBox()
for index in np.ndindex(*(int(-(-s // d)) for s, d in zip((bb.xlen, bb.ylen, bb.zlen), steps))):
    at = (bb.xmin + index[0] * steps[0], bb.ymin + index[1] * steps[1], bb.zmin + index[2] * steps[2])
    piece = shell.intersect(cq.Solid.makeBox(*steps, cq.Vector(*at)))
    if piece.Solids():
        cq.exporters.export(cq.Workplane(piece), str(out / f"{count}.step"))
        cq.exporters.export(cq.Workplane(piece), str(out / f"{count}.stl"))
        count += 1
print(count, "pieces")
"""
)

PLAIN_TRIMESH = (
    _BODY
    + """
import trimesh
v, f = body.tessellate(0.1, 0.1)
skin = trimesh.Trimesh([p.toTuple() for p in v], f)
skin.merge_vertices(digits_vertex=3)
skin.update_faces(skin.nondegenerate_faces())
skin = skin.subdivide_to_size(40.0, max_iter=12)
inner = skin.copy(); inner.vertices = inner.vertices - 4.0 * inner.vertex_normals
shell = trimesh.boolean.difference([skin, inner], engine="manifold")
low, high = skin.bounds; steps = np.array(steps)
for index in np.ndindex(*np.ceil((high - low) / steps).astype(int)):
    box = trimesh.creation.box(steps, trimesh.transformations.translation_matrix(low + (np.array(index) + 0.5) * steps))
    piece = trimesh.boolean.intersection([shell, box], engine="manifold")
    if len(piece.faces):
        piece.export(out / f"{count}.stl"); count += 1
print(count, "pieces")
"""
)


COMMAND = [sys.executable, "-m", "sections"]


def timed(arguments):
    """Run a program; return (seconds, peak MB of its largest process, exit code, last line)."""
    start = time.perf_counter()
    with tempfile.TemporaryFile("w+") as said:
        running = subprocess.Popen(arguments, cwd=ROOT, stdout=said, stderr=said)
        _, status, usage = os.wait4(running.pid, 0)
        seconds = time.perf_counter() - start
        running.returncode = os.waitstatus_to_exitcode(status)
        said.seek(0)
        last = said.read().strip().splitlines()[-1:]
    return seconds, usage.ru_maxrss / 1024, running.returncode, last


@pytest.mark.parametrize("name", ["plover", "ahmed"])
@pytest.mark.parametrize("loop", ["CadQuery", "trimesh"])
def test_loops_by_hand(name, loop, tmp_path):
    """No joints. OCC makes no offset shell of the demo body: that is reported, and is no fault of ours."""
    program = PLAIN_CADQUERY if loop == "CadQuery" else PLAIN_TRIMESH
    seconds, peak, code, last = timed([sys.executable, "-c", program, str(tmp_path), name])
    print(f"\nplain {loop}, {name}, no joints: {seconds:.0f} s, {peak:.0f} MB, exit {code}, {last}")
    assert code == 0 or (loop, name) == ("CadQuery", "plover"), last


def build(name, formats, out):
    """Build a body in these formats without checks; return what timed() gives, and the parameter file used."""
    text = (ROOT / "params" / f"{name}.toml").read_text()
    parameters = ROOT / "params" / f".benchmark-{name}.toml"
    parameters.write_text(text + f"\n[output]\nformats = {formats}\n".replace("'", '"'))
    return timed([*COMMAND, "build", str(parameters), "--out", str(out), "--no-check"]), parameters


@pytest.mark.parametrize("name", ["plover", "ahmed"])
def test_main_job(name, tmp_path):
    built, parameters = build(name, ["stl", "3mf"], tmp_path)
    try:
        check = timed([*COMMAND, "check", str(parameters), "--out", str(tmp_path)])
    finally:
        parameters.unlink()
    for what, (seconds, peak, code, last) in (("build", built), ("check", check)):
        print(f"\n{name} {what}: {seconds:.0f} s, {peak:.0f} MB, exit {code}, {last}")
        assert code == 0


@pytest.mark.parametrize("name", ["plover", "ahmed"])
def test_exact_step(name, tmp_path):
    """The same build without and with STEP, and how many sections' STEP files are exact."""
    (printed, *_), parameters = build(name, ["stl", "3mf"], tmp_path / "print")
    (seconds, peak, code, last), parameters = build(name, ["stl", "3mf", "step"], tmp_path / "step")
    parameters.unlink()
    assert code == 0, last
    output = tmp_path / "step" / name
    manifest = json.loads((output / "manifest.json").read_text())
    kinds = [part["step"] for part in manifest["parts"] if part["kind"] == "section"]
    megabytes = sum(path.stat().st_size for path in (output / "sections").glob("*.step")) / 1e6 / len(kinds)
    share = 100 * kinds.count("exact") / len(kinds)
    print(f"\n{name} with STEP: {seconds:.0f} s, {seconds / printed:.1f} times the build without, {peak:.0f} MB, "
          f"{share:.1f} % of {len(kinds)} sections exact, {megabytes:.1f} MB each")  # fmt: skip
    assert share >= 95
