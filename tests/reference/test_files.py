"""The files against their formats: read by other code than wrote them."""

import struct
import zipfile
from collections import Counter

import lib3mf
import numpy as np
import pytest
import trimesh
from lxml import etree

pytestmark = pytest.mark.xdist_group("pod")
# 3MF core specification, as fixed by its consortium.
CORE = "{http://schemas.microsoft.com/3dmanufacturing/core/2015/02}"


def parts(pod, format_):
    return [(part, pod.out / f.path) for part in pod.manifest.parts for f in part.files if f.format == format_]


def test_stl_is_binary_and_whole(pod):
    """80 bytes of header, a little-endian count, 50 bytes a facet, attribute 0 (STL as commonly described)."""
    for part, path in parts(pod, "stl"):
        data = path.read_bytes()
        (count,) = struct.unpack("<I", data[80:84])
        assert len(data) == 84 + 50 * count, part.id
        assert not data[:5].lower().startswith(b"solid"), part.id
        facets = np.frombuffer(data, offset=84, dtype=[("n", "<f4", 3), ("v", "<f4", (3, 3)), ("a", "<u2")])
        assert (facets["a"] == 0).all()
        corners = facets["v"].astype(float)
        cross = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
        long = np.linalg.norm(cross, axis=1)
        clear = long > 1e-3
        turned = np.einsum("ij,ij->i", cross[clear] / long[clear, None], facets["n"][clear])
        assert turned.min() > 0.9, part.id


def test_stl_by_trimesh(pod):
    """Another library finds it closed, wound alike, and of the volume the manifest states."""
    for part, path in parts(pod, "stl"):
        mesh = trimesh.load(path)
        assert mesh.is_watertight and mesh.is_winding_consistent, part.id
        foot = part.foot_g / pod.settings.material.density * 1000
        assert mesh.volume == pytest.approx(part.volume_mm3 + foot, rel=1e-5)
        assert mesh.extents == pytest.approx(part.size, abs=1e-3)
        assert part.mass_g + part.foot_g == pytest.approx(mesh.volume * pod.settings.material.density / 1000, rel=1e-5)


def test_3mf_by_the_strict_reader(pod):
    """lib3mf in strict mode reads every file without a warning: millimetres, one named object, manifold."""
    for part, path in parts(pod, "3mf"):
        model = lib3mf.get_wrapper().CreateModel()
        reader = model.QueryReader("3mf")
        reader.SetStrictModeActive(True)
        reader.ReadFromFile(str(path))
        assert reader.GetWarningCount() == 0, part.id
        assert model.GetUnit() == lib3mf.ModelUnit.MilliMeter
        objects = model.GetMeshObjects()
        assert objects.MoveNext()
        mesh = objects.GetCurrentMeshObject()
        assert mesh.GetName() == part.id
        assert mesh.IsManifoldAndOriented(), part.id
        assert not objects.MoveNext()


def test_3mf_by_trimesh_and_by_its_xml(pod):
    """The same solid as the STL; the XML states its unit."""
    for part, path in parts(pod, "3mf"):
        with zipfile.ZipFile(path) as package:
            root = etree.fromstring(package.read("3D/3dmodel.model"))
        assert root.get("unit") == "millimeter"
        assert [item.tag for item in root.iter(f"{CORE}item")] == [f"{CORE}item"]
        mesh = trimesh.load(path, force="mesh")
        foot = part.foot_g / pod.settings.material.density * 1000
        assert mesh.volume == pytest.approx(part.volume_mm3 + foot, rel=1e-4), part.id


def test_step_is_ap242_in_millimetres(pod):
    """ISO 10303-21 text, schema AP242, one product of the part's name."""
    for part, path in parts(pod, "step"):
        text = path.read_text("latin-1")
        assert text.startswith("ISO-10303-21;"), part.id
        assert "AP242_MANAGED_MODEL_BASED_3D_ENGINEERING" in text.upper()
        assert f"PRODUCT('{part.id}'" in text
        assert ".MILLI." in text


def test_exact_step_of_hardware(pod):
    """Read by CadQuery: one valid solid, of the mesh's volume to what the triangles cost."""
    import cadquery as cq

    checked = 0
    for part, path in parts(pod, "step"):
        if part.step == "exact":
            solid = cq.importers.importStep(str(path)).val()
            assert solid.isValid() and len(cq.Workplane(solid).solids().vals()) == 1
            assert solid.Volume() == pytest.approx(part.volume_mm3, rel=5e-3)
            checked += 1
    assert checked >= 2  # a pin and a key


def test_tessellated_step_holds_the_section_in_place(pod):
    """The points of a section's STEP lie in the vehicle frame, where the plan's pose puts its STL."""
    import re

    for part, path in parts(pod, "step"):
        if part.step != "tessellated":
            continue
        text = path.read_text("latin-1")
        block = re.search(r"COORDINATES_LIST\('[^']*',(\d+),\((.*?)\)\);", text, re.S)
        points = np.array(re.findall(r"-?\d+\.?\d*(?:E[+-]?\d+)?", block.group(2)), float).reshape(-1, 3)
        assert len(points) == int(block.group(1))
        bounds = pod.section(part.id).mesh.bounds
        assert points.min(0) == pytest.approx(bounds[0], abs=2e-3)
        assert points.max(0) == pytest.approx(bounds[1], abs=2e-3)


def test_manifest_digests(pod):
    """Every file named is there with its SHA-256 (hashlib), and no file is there that is not named."""
    import hashlib

    named = {".written.json", "CAUTIONS.txt", "manifest.json", "plan.json", pod.manifest.papers["steps"][0].path}
    for part in pod.manifest.parts:
        for file in part.files:
            data = (pod.out / file.path).read_bytes()
            assert hashlib.sha256(data).hexdigest() == file.sha256 and len(data) == file.bytes
            named.add(file.path)
    there = {p.relative_to(pod.out).as_posix() for p in pod.out.rglob("*") if p.is_file()}
    assert there == named


def test_exact_sections_by_another_reader(crate):
    """Each exact section's STEP file read by steputils (ISO 10303-21, no OCC in it): its name, millimetres, one closed
    solid and no triangles; its corners span what the STL spans; and it has as many handles as the STL has by trimesh:
    V - E + F - (loops - F) = 2 - 2 g (Euler and Poincare)."""
    from steputils import p21

    sections = [part for part in crate.manifest.parts if part.kind == "section"]
    assert {part.step for part in sections} == {"exact"}
    for part in sections:
        paths = {file.format: crate.out / file.path for file in part.files}
        read = p21.readfile(str(paths["step"]))
        single = [i for i in read.data[0].instances.values() if hasattr(i, "entity")]
        count = Counter(i.entity.name for i in single)
        named = {i.ref: i.entity.params for i in single}
        assert [i.entity.params[0] for i in single if i.entity.name == "PRODUCT"] == [part.id]
        units = [e for i in read.data[0].instances.values() if hasattr(i, "entities") for e in i.entities]
        assert [str(e.params[0]) for e in units if e.name == "SI_UNIT"][0] == ".MILLI."
        assert count["MANIFOLD_SOLID_BREP"] == count["CLOSED_SHELL"] == 1
        assert count["TRIANGULATED_FACE"] == count["TESSELLATED_SHELL"] == 0
        corners = np.array([named[i.entity.params[1]][1] for i in single if i.entity.name == "VERTEX_POINT"])
        # A foot is in the print file alone.
        printed = max(trimesh.load(paths["stl"]).split(), key=lambda shell: shell.volume)
        placed = crate.plan.section(part.id).pose.to_world(printed.vertices)
        assert np.ptp(corners, axis=0) == pytest.approx(np.ptp(placed, axis=0), abs=0.2)
        faces = count["ADVANCED_FACE"]
        handles = count["VERTEX_POINT"] - count["EDGE_CURVE"] + faces - (count["EDGE_LOOP"] - faces)
        assert handles == printed.euler_number and handles < 2


def test_assembly_by_its_text(crate):
    """ISO 10303-21 text, read without OCC: a product for every section and kind of hardware, one more for the whole;
    an occurrence (NEXT_ASSEMBLY_USAGE_OCCURRENCE) for each section and each pin or key that is needed; colours; mm."""
    import re

    text = (crate.out / crate.manifest.papers["steps"][0].path).read_text("latin-1")
    parts = [part for part in crate.manifest.parts if part.kind in ("section", "dowel", "key")]
    assert {"dowel", "section"} <= {part.kind for part in parts}
    products = re.findall(r"=\s*PRODUCT\('([^']*)'", text)
    assert sorted(products) == sorted([crate.settings.name, *(part.id for part in parts)])
    assert len(re.findall(r"=\s*NEXT_ASSEMBLY_USAGE_OCCURRENCE\(", text)) == sum(part.count for part in parts)
    assert len(re.findall(r"=\s*MANIFOLD_SOLID_BREP\(", text)) == len(parts)
    assert len(set(re.findall(r"COLOUR_RGB\('[^']*',([^)]*)\)", text))) >= 3
    assert ".MILLI." in text and "ISO-10303-21;" in text


def test_holes_beside_tessellated_sections(pod):
    """A body whose sections are all tessellated: what is cut in them stands in the assembly as exact solids, two places
    for each bolt (hole and seat on either side), one for each boss; M3 holes are 3.4 mm (ISO 273, medium)."""
    from steputils import p21

    assert {part.step for part in pod.manifest.parts if part.kind == "section"} == {"tessellated"}
    assert pod.settings.bolts.size == "M3"
    read = p21.readfile(str(pod.out / pod.manifest.papers["steps"][0].path))
    single = [i.entity for i in read.data[0].instances.values() if hasattr(i, "entity")]
    places = Counter(e.params[1].split("-cut")[0] for e in single if e.name == "NEXT_ASSEMBLY_USAGE_OCCURRENCE")
    joints = Counter(planned.joint.kind for planned in pod.plan.joints)
    assert places["bolt"] == 2 * joints["bolt"] > 0 and places["boss"] == len(pod.plan.bosses) > 0
    assert 1.7 in {round(e.params[2], 6) for e in single if e.name == "CYLINDRICAL_SURFACE"}
