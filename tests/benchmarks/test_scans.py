"""Seconds and peak memory of scans: against triangles, and of whole builds against the number of sections.

Run by hand: pytest -m benchmark -s tests/benchmarks. The ratio is to trimesh reading the same file, making equal
corners one and writing it again: the least that can be done with it.
"""

import json
import sys

import numpy as np
import pytest
import trimesh

from tests.benchmarks.test_main_job import COMMAND, timed

pytestmark = pytest.mark.benchmark

PLAIN = """
import sys, trimesh
mesh = trimesh.load(sys.argv[1])
mesh.merge_vertices()
mesh.export(sys.argv[2])
"""
MEND = "[repair]\nlimit = 0.3\nweld = 0.01\norient = true\nholes = 200\nsimplify = 0.08\n"


def egg(millions):
    """A torn egg of so many million triangles, noisy by a hundredth of an edge: 3.2 m long."""
    made = trimesh.creation.icosphere(max(1, round(np.log(millions * 1e6 / 20) / np.log(4))))
    rng = np.random.default_rng(1)
    vertices = made.vertices * [1600, 650, 550]
    vertices += rng.normal(0, 0.01, vertices.shape) * np.sqrt(made.area / len(made.faces)) * 600
    keep = np.ones(len(made.faces), bool)
    for face in rng.integers(0, len(keep), 12):
        keep[np.linalg.norm(made.triangles_center - made.triangles_center[face], axis=1) < 0.012] = False
    faces = made.faces[keep]
    some = rng.random(len(faces)) < 0.02
    faces[some] = faces[some][:, ::-1]
    return trimesh.Trimesh(vertices, faces, process=False)


@pytest.mark.parametrize("millions", [0.082, 1.31, 5.24])
def test_triangles(millions, tmp_path):
    mesh = egg(millions)
    mesh.export(tmp_path / "egg.stl")
    text = f'name = "egg"\n[body]\nfile = "egg.stl"\nunits = "mm"\n{MEND}[seams]\nplanes = []\n'
    (tmp_path / "egg.toml").write_text(text)
    plain, *_ = timed([sys.executable, "-c", PLAIN, str(tmp_path / "egg.stl"), str(tmp_path / "again.stl")])
    for what, arguments in (
        ("inspect", ["inspect", str(tmp_path / "egg.stl"), "--units", "mm"]),
        ("prepare", ["prepare", str(tmp_path / "egg.toml")]),
    ):
        seconds, peak, code, last = timed([*COMMAND, *arguments, "--out", str(tmp_path / "out")])
        print(f"\n{len(mesh.faces) / 1e6:.2f} M triangles, {what}: {seconds:.0f} s, {seconds / plain:.0f} times plain, "
              f"{peak:.0f} MB, exit {code}, {last}")  # fmt: skip
        assert code == (1 if what == "inspect" else 0)
    made = json.loads((tmp_path / "out" / "egg-skin" / "skin.json").read_text())
    print(f"left: {made['triangles']} triangles, moved by at most {made['moved']:.3f} mm")


@pytest.mark.parametrize("length", [1800, 3600, 7600])
def test_sections(length, tmp_path):
    """An egg of so many mm, cut into boxes for a 300 mm bed: some 50, 200 and 800 sections."""
    made = trimesh.creation.icosphere(6)
    made.vertices *= np.array([0.5, 0.2, 0.17]) * length
    made.export(tmp_path / "egg.stl")
    cuts = []
    for axis, part in zip("xyz", (0.5, 0.2, 0.17), strict=True):
        count = int(np.ceil(2 * part * length / 275))
        at = (np.arange(1, count) / count - 0.5) * 2 * part * length
        cuts += [f'{{ id = "{axis}{n + 1}", axis = "{axis}", at = {a:.1f} }}' for n, a in enumerate(at)]
    text = 'name = "egg"\n[body]\nfile = "egg.stl"\nunits = "mm"\n[output]\nformats = ["stl"]\n[seams]\nplanes = [\n'
    (tmp_path / "egg.toml").write_text(text + ",\n".join(cuts) + "]\n")
    built = timed([*COMMAND, "build", str(tmp_path / "egg.toml"), "--out", str(tmp_path), "--no-check"])
    check = timed([*COMMAND, "check", str(tmp_path / "egg.toml"), "--out", str(tmp_path)])
    manifest = json.loads((tmp_path / "egg" / "manifest.json").read_text())
    count = sum(part["kind"] == "section" for part in manifest["parts"])
    for what, (seconds, peak, code, last) in (("build", built), ("check", check)):
        print(f"\n{count} sections, {what}: {seconds:.0f} s, {seconds / count:.2f} a section, {peak:.0f} MB of the "
              f"largest process, exit {code}, {last}")  # fmt: skip
        assert code in (0, 1)
