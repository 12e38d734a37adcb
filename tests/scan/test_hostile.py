"""Damaged and hostile files: every one is examined or refused in words, none ends in anything else.

The formats as commonly described (STL: 80 bytes, a count, 50 bytes a facet) and in the 3MF core specification (a ZIP
package); the ways to spoil them are our own.
"""

import io
import struct
import time
import zipfile

import numpy as np
import pytest
import trimesh

from sections.errors import BadInput
from sections.numbers.mesh import Mesh
from sections.scan.health import examine
from sections.solids import mesh_read
from sections.solids.mesh_read import read_mesh

BALL = trimesh.creation.icosphere(2, 200)


def whole(kind):
    data = BALL.export(file_type="stl_ascii" if kind == "stl-text" else kind)
    return data.encode() if isinstance(data, str) else data


def cut(data, rng):
    return data[: int(len(data) * rng.random())]


def flipped(data, rng):
    spoilt = bytearray(data)
    for place in rng.integers(0, len(data), rng.integers(1, 30)):
        spoilt[place] = rng.integers(256)
    return bytes(spoilt)


def gap(data, rng):
    first, last = sorted(rng.integers(0, len(data), 2))
    return data[:first] + data[last:]


def noise(data, rng):
    return rng.integers(0, 256, len(data) // 2, dtype=np.uint8).tobytes()


def swapped(data, rng):
    """Return the data with two stretches of it changed for one another."""
    a, b, c = sorted(rng.integers(0, len(data), 3))
    return data[:a] + data[b:c] + data[a:b] + data[c:]


def judge(path):
    """Return what becomes of a file: "sound", "faults" or "refused"; anything else raises."""
    try:
        mesh, _ = read_mesh(path)
        health = examine(mesh, 0.1)
    except BadInput as error:
        for problem in error.problems:
            assert problem.file == str(path) and problem.limit and problem.remedy
        return "refused"
    if health.is_sound:
        # Nothing was dropped or closed on the way: all of the ball's triangles are there.
        assert health.given == len(BALL.faces)
    return "sound" if health.is_sound else "faults"


@pytest.mark.parametrize("kind", ["stl", "stl-text", "obj", "ply", "3mf"])
@pytest.mark.parametrize(("way", "count"), [(cut, 15), (flipped, 25), (gap, 10), (noise, 3), (swapped, 10)])
def test_spoilt_at_random(tmp_path, kind, way, count):
    """315 files in all. A file cut short is never taken for a whole body, nor is noise."""
    rng = np.random.default_rng(len(kind) + count)
    data = whole(kind)
    path = tmp_path / f"it.{kind.removesuffix('-text')}"
    seen = set()
    for _ in range(count):
        path.write_bytes(way(data, rng))
        seen.add(judge(path))
    if way in (cut, noise):
        assert "sound" not in seen


def stl(change=lambda facets: None, count=None, head=b""):
    data = whole("stl")
    facets = np.frombuffer(data, offset=84, dtype=[("n", "<f4", 3), ("v", "<f4", (3, 3)), ("a", "<u2")]).copy()
    change(facets["v"])
    return head.ljust(80)[:80] + struct.pack("<I", len(facets) if count is None else count) + facets.tobytes()


def set_one(value):
    def change(corners):
        corners[5, 1, 2] = value

    return change


def set_all(corners):
    corners[:] = 1.0


@pytest.mark.parametrize(
    ("name", "data", "reported"),
    [
        ("empty.stl", b"", "a mesh"),
        ("none.stl", stl(count=0), "a mesh"),
        ("more.stl", stl(count=10**6), "a mesh"),
        ("nan.stl", stl(set_one(np.nan)), "finite coordinates"),
        ("inf.stl", stl(set_one(np.inf)), "finite coordinates"),
        ("far.stl", stl(set_one(1e38)), "coordinates of at most 1e+09"),
        ("point.stl", stl(set_all), "triangles with an area"),
        ("index.obj", b"v 0 0 0\nv 1 0 0\nv 0 1 0\nf 1 2 99\n", "a mesh"),
        ("words.obj", b"v a b c\nf x y z\n", "a mesh"),
        ("corners.obj", b"v 0 0 0\nv 1 0 0\n", "a mesh"),
        ("lies.ply", b"ply\nformat binary_little_endian 1.0\nelement vertex 99999999999\nproperty float x\n"
                     b"property float y\nproperty float z\nend_header\n", "a mesh"),
        ("open.ply", b"ply\nformat ascii 1.0\n", "a mesh"),
        ("not.3mf", b"PK\x03\x04 not a package", "a 3MF package that can be opened"),
    ],
    ids=lambda value: value if isinstance(value, str) else "",
)  # fmt: skip
def test_spoilt_on_purpose(tmp_path, name, data, reported):
    path = tmp_path / name
    path.write_bytes(data)
    with pytest.raises(BadInput, match=r"fix: ") as refused:
        read_mesh(path)
    assert reported in str(refused.value)


def test_binary_that_says_solid(tmp_path):
    """A binary STL whose header begins like a text one is read as what it is."""
    (tmp_path / "it.stl").write_bytes(stl(head=b"solid, it says"))
    assert judge(tmp_path / "it.stl") == "sound"


def package(more):
    held = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(whole("3mf"))) as old, zipfile.ZipFile(held, "w", zipfile.ZIP_DEFLATED) as new:
        for name in old.namelist():
            new.writestr(name, old.read(name))
        for name, data in more:
            new.writestr(name, data)
    return held.getvalue()


@pytest.mark.parametrize("name", ["../../evil.txt", "/etc/evil", "a/..\\..\\evil"])
def test_package_that_names_paths_outside(tmp_path, name):
    (tmp_path / "it.3mf").write_bytes(package([(name, b"x")]))
    with pytest.raises(BadInput, match="points outside it"):
        read_mesh(tmp_path / "it.3mf")


def test_package_that_unpacks_to_too_much(tmp_path, monkeypatch):
    """The limit is lowered here, not the bomb made large: 30 MB of blanks, 30 kB packed, against 20 MB."""
    data = package([("Metadata/blank.txt", b" " * 30_000_000)])
    assert len(data) < 200_000
    (tmp_path / "it.3mf").write_bytes(data)
    assert judge(tmp_path / "it.3mf") == "sound"
    monkeypatch.setattr(mesh_read, "MOST_BYTES", 20_000_000)
    with pytest.raises(BadInput, match="GB unpacked"):
        read_mesh(tmp_path / "it.3mf")


@pytest.mark.parametrize(("most", "taken"), [(320, True), (319, False)])
def test_triangle_budget(tmp_path, monkeypatch, most, taken):
    """The ball has 320: refused from the file's length in binary STL, from the count in the others."""
    monkeypatch.setattr(mesh_read, "MOST_TRIANGLES", most)
    for kind in ("stl", "stl-text", "obj", "ply", "3mf"):
        path = tmp_path / f"it.{kind.removesuffix('-text')}"
        path.write_bytes(whole(kind))
        assert judge(path) == ("sound" if taken else "refused"), kind


def test_noise_is_refused_soon(tmp_path):
    """60,000 triangles at random: faces that cross are found in a part of them, and nothing else is looked for."""
    corners = np.random.default_rng(0).uniform(0, 1000, (180_000, 3))
    began = time.monotonic()
    health = examine(Mesh(corners, np.arange(180_000).reshape(-1, 3)), 0.1)
    assert time.monotonic() - began < 150
    assert health.tangled and not health.symmetry
    assert {"open", "crossing"} <= {one.flaw.code for one in health.ailments if one.stops}


def test_a_package_of_many_items(tmp_path, monkeypatch):
    """One mesh placed more often than the limit, here 50: lib3mf takes half a minute to write the true one."""
    monkeypatch.setattr(mesh_read, "_MOST_ITEMS", 50)
    import lib3mf

    model = lib3mf.get_wrapper().CreateModel()
    mesh = model.AddMeshObject()
    box = trimesh.creation.box((10, 10, 10))
    places, triangles = [], []
    for corner in box.vertices:
        place = lib3mf.Position()
        place.Coordinates[:] = [float(c) for c in corner]
        places.append(place)
    for face in box.faces:
        triangle = lib3mf.Triangle()
        triangle.Indices[:] = [int(c) for c in face]
        triangles.append(triangle)
    mesh.SetGeometry(places, triangles)
    for _ in range(51):
        model.AddBuildItem(mesh, lib3mf.get_wrapper().GetIdentityTransform())
    model.QueryWriter("3mf").WriteToFile(str(tmp_path / "it.3mf"))
    with pytest.raises(BadInput, match="at most 50 items"):
        read_mesh(tmp_path / "it.3mf")
