"""One body, two printers: each builder's profile is named beside the body's file, and what is printed follows it."""

import numpy as np
import pytest
import trimesh

from sections.numbers.mesh import Mesh
from sections.settings import load_settings
from sections.settings.fit_values import fit_of
from tests.shared import BRICK, build_from, copy_body

# Beside the brick as it is without a profile.
pytestmark = pytest.mark.xdist_group("profile")

# Part of a length lost in x, y and height; the second swells upward.
SHOPS = {"near": (0.005, 0.004, -0.001), "far": (0.0, 0.012, 0.003)}


@pytest.fixture(scope="module", params=SHOPS)
def shop(request, tmp_path_factory):
    """The brick built with a profile, and what that printer loses."""
    folder = tmp_path_factory.mktemp(request.param)
    copy_body(BRICK, folder)
    shrink = SHOPS[request.param]
    # STEP files, which take the longer half of it, are looked at for one of them.
    formats = ["stl", "step"] if request.param == "near" else ["stl"]
    text = f"[printer]\nshrink = {list(shrink)}\nfits.key = {{ press = 0.06, slide = 0.17, loose = 0.4 }}\n"
    (folder / f"{request.param}.toml").write_text(text)
    mine = folder / "mine.toml"
    mine.write_text(
        f'extends = ["brick.toml", "{request.param}.toml"]\nfits.key = "slide"\noutput.formats = {formats}\n'
    )
    return build_from(mine, tmp_path_factory), np.array(shrink)


def test_parts_are_right_once_they_have_shrunk(shop):
    """Nothing is found wrong with the sections, which are measured as they come off the printer."""
    built, _ = shop
    assert [str(one) for one in built.report.findings if one.level != "note"] == []


def test_files_are_larger_by_what_is_lost(shop, brick):
    """File = part / (1 - s), not part x (1 + s): a section 120 mm long is 120.603 for 0.5 percent, not 120.600. The
    same sections without a profile are read by trimesh beside them."""
    built, lost = shop
    for name in ("X0", "X1"):
        plain = trimesh.load(brick.out / "sections" / f"{name}.stl").extents
        grown = trimesh.load(built.out / "sections" / f"{name}.stl").extents
        assert built.plan.section(name).pose.rotation == pytest.approx(brick.plan.section(name).pose.rotation)
        # Cuts of the wall on the lattice fall a little otherwise from run to run of other settings; extents do not.
        assert grown == pytest.approx(plain / (1 - lost), abs=2e-3)
        wrong = plain * (1 + lost)
        assert np.abs(grown - wrong).max() > 2e-3


@pytest.mark.parametrize("shop", ["near"], indirect=True)
def test_step_is_the_part_itself(shop, brick):
    """STEP stays in the vehicle frame at its own size: that of the print file without a profile, placed there."""
    import cadquery as cq

    built, _ = shop
    box = cq.importers.importStep(str(built.out / "sections" / "X0.step")).val().BoundingBox()
    plain = trimesh.load(brick.out / "sections" / "X0.stl")
    placed = brick.plan.section("X0").pose.place(Mesh(np.asarray(plain.vertices), np.asarray(plain.faces)))
    assert (box.xlen, box.ylen, box.zlen) == pytest.approx(np.ptp(placed.vertices, axis=0), abs=0.01)


def test_hardware_and_words(shop):
    """The loose key is larger in its file too, and its pockets have the fit of the profile's word."""
    built, lost = shop
    key = next(part for part in built.manifest.parts if part.kind == "key")
    mesh = trimesh.load(built.out / key.files[0].path)
    assert mesh.extents == pytest.approx(np.array([20.0, 5.0, 8.0]) / (1 - lost), abs=2e-3)
    gaps = [one.value for one in built.report.measures if one.name.startswith("key-clearance")]
    assert gaps and np.array(gaps) == pytest.approx(0.17, abs=0.02)
    assert fit_of(built.settings, "key") == 0.17


def test_the_later_file_holds(tmp_path):
    """Of several files the later holds over those before it, the file itself over all; words differ by printer."""
    (tmp_path / "a.toml").write_text("[wall]\nthickness = 3\n[flange]\nheight = 30\n")
    (tmp_path / "b.toml").write_text('[wall]\nthickness = 5\n[material]\nname = "ASA"\n')
    top = 'extends = ["a.toml", "b.toml"]\nname = "x"\n[body]\nfile = "x.stl"\nunits = "mm"\n[material]\nname = "ABS"\n'
    (tmp_path / "x.toml").write_text(top)
    (tmp_path / "x.stl").write_bytes(b"")
    settings = load_settings(tmp_path / "x.toml")
    assert (settings.wall.thickness, settings.flange.height, settings.material.name) == (5, 30, "ABS")


def test_the_widest_of_several_printers_holds():
    """Either of two printers may print either side of a joint."""
    from sections.settings import Settings

    printers = [{"id": "a", "fits": {"key": {"slide": 0.2}}}, {"id": "b", "fits": {"key": {"slide": 0.3}}}]
    data = {"name": "x", "body": {"file": "x.stl", "units": "mm"}, "fits": {"key": "slide"}, "printers": printers}
    assert fit_of(Settings.model_validate(data), "key") == 0.3


@pytest.mark.parametrize(("lost", "larger", "file"), [(0.005, 1.005025, 301.508), (0.0, 1.0, 300.0)])
def test_shrinkage_is_divided_by(lost, larger, file):
    """1 / (1 - s): half a percent makes 300 mm 301.508; times 1 + s it would be 301.500."""
    from sections.settings.printer import PrinterTable

    growth = PrinterTable.model_validate({"shrink": [lost, 0.0, 0.0]}).growth[0]
    assert growth == pytest.approx(larger, abs=1e-6) and 300 * growth == pytest.approx(file, abs=1e-3)


@pytest.mark.parametrize(
    ("pair", "narrow", "per_side"),
    [
        # 6 mm: H7 0 to +12 um, g6 -12 to -4: in the middle 14 um, 7 per side (pressfit 0.1.0).
        ("H7/g6", (0.0, 0.0), 0.007),
        # m6 +4 to +12: 2 um of interference in the middle.
        ("H7/m6", (0.0, 0.0), -0.001),
        # A printer whose 6 mm holes come out 0.1 + 0.9 / 6 = 0.25 smaller.
        ("H7/g6", (0.1, 0.9), 0.132),
    ],
)
def test_pairs_are_drawn_so_that_the_hole_comes_out(pair, narrow, per_side):
    from sections.settings import Settings

    data = {"name": "x", "body": {"file": "x.stl", "units": "mm"}, "fits": {"dowel": pair}}
    more = {"dowels": {"kind": "metal", "diameter": 6.0}, "printer": {"hole_undersize": list(narrow)}}
    assert fit_of(Settings.model_validate({**data, **more}), "dowel") == pytest.approx(per_side, abs=1e-9)
