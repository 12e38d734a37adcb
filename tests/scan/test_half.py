"""Half a body made whole: known mirror images, a ridge of a known angle, a rim that stops short."""

import math
from pathlib import Path

import numpy as np
import pytest
import trimesh

from sections.errors import BadInput
from sections.numbers.mesh import Mesh, weld_exact
from sections.scan.half import centre_line, whole_of_half
from sections.scan.prepare import prepare
from sections.settings.model import Settings
from sections.settings.scan import HalfTable
from sections.solids.soundness import solid_flaws

RIGHT = HalfTable(side="right")


def egg(subdivisions=4):
    """An ellipsoid of half axes 400, 150 and 100 mm."""
    made = trimesh.creation.icosphere(subdivisions)
    return Mesh(made.vertices * [400, 150, 100], made.faces)


def roof(slope, y_from=0.0, y_to=300.0):
    """A plane strip that falls by `slope` deg to the right, ridge along x at y = 0, meshed at 10 mm."""
    x, y = np.meshgrid(np.arange(0, 401, 10.0), np.arange(y_from, y_to + 1, 10.0), indexing="ij")
    z = -np.abs(y) * math.tan(math.radians(slope))
    rows, columns = x.shape
    at = np.arange(rows * columns).reshape(rows, columns)
    a, b, c, d = (part.reshape(-1) for part in (at[:-1, :-1], at[1:, :-1], at[1:, 1:], at[:-1, 1:]))
    return Mesh(np.column_stack([x.ravel(), y.ravel(), z.ravel()]), np.vstack([np.c_[a, b, c], np.c_[a, c, d]]))


@pytest.mark.parametrize("side", ["right", "left"])
@pytest.mark.parametrize("beyond", [0.0, 37.0])
def test_an_egg(side, beyond):
    """From the half and a ragged piece beyond, the whole: closed, of the same volume, its own image to the last bit."""
    whole = egg()
    sign = 1 if side == "right" else -1
    kept = whole.submesh((sign * whole.triangles[:, :, 1] > -beyond - 20).all(1))
    made = whole_of_half(kept, HalfTable(side=side), 40.0, 0.0, "egg")
    assert not solid_flaws(made.mesh, 0.001)
    assert made.mesh.volume_mm3 == pytest.approx(whole.volume_mm3, rel=1e-9)
    corners = {tuple(v) for v in made.mesh.vertices}
    assert {(x, -y if y else 0.0, z) for x, y, z in corners} == corners
    assert made.drawn < 0.02 and made.moved == 0


@pytest.mark.parametrize("slope", [0.5, 3.0, 15.0])
def test_the_angle_of_a_ridge(slope):
    """Two planes that fall by s to either side turn through 2 s where they meet."""
    line = centre_line(roof(slope))
    assert (line.median, line.most) == (pytest.approx(2 * slope), pytest.approx(2 * slope))
    assert line.length == pytest.approx(400)


@pytest.mark.parametrize(("slope", "blend"), [(0.5, 60), (2.0, 120)])
def test_a_ridge_faired_out(slope, blend):
    """By y s (1 - y / b)^2, most at b / 3: 4/27 s b. What is left between the line and the first row of corners, h = 10
    from it, is s (1 - (1 - h / b)^2), twice."""
    s = math.tan(math.radians(slope))
    made = whole_of_half(roof(slope), HalfTable(side="right", blend=blend), 40.0, 5.0, "roof")
    assert made.moved == pytest.approx(4 / 27 * s * blend, rel=0.02)
    left = 2 * math.degrees(math.atan(s * (1 - (1 - 10 / blend) ** 2)))
    assert made.after.median == pytest.approx(left, rel=0.12) and made.after.median < 0.45 * made.before.median
    # Where the blend ends and beyond, nothing is moved.
    far = made.mesh.vertices[np.abs(made.mesh.vertices[:, 1]) >= blend]
    assert far[:, 2] == pytest.approx(-np.abs(far[:, 1]) * s)


def test_no_further_than_allowed():
    made = whole_of_half(roof(2.0), HalfTable(side="right", blend=120), 40.0, 0.3, "roof")
    assert made.moved == pytest.approx(0.3) and 0 < made.after.median < made.before.median


def test_a_crease_is_left():
    """A ridge that turns through 60 deg is meant."""
    made = whole_of_half(roof(30.0), HalfTable(side="right", blend=120), 40.0, 5.0, "roof")
    assert made.moved == 0 and made.after.median == pytest.approx(60)


@pytest.mark.parametrize(("short", "reach", "taken"), [(0.8, 1.0, True), (1.2, 1.0, False)])
def test_a_rim_that_stops_short(short, reach, taken):
    strip = roof(0.0)
    strip = Mesh(strip.vertices + [0, short, 0], strip.faces)
    half = HalfTable(side="right", reach=reach)
    if not taken:
        with pytest.raises(BadInput, match="reaches y = 0 within half.reach, 1 mm"):
            whole_of_half(strip, half, 40.0, 0.0, "strip")
        return
    made = whole_of_half(strip, half, 40.0, 0.0, "strip")
    assert made.drawn == pytest.approx(short)
    assert made.mesh.areas_mm2.sum() == pytest.approx(2 * 400 * (300 + short))


def test_no_wall_is_left_between():
    """A box from y = 0 on, its face there included: that face is not in the whole."""
    made = trimesh.creation.box((200, 100, 80))
    half = weld_exact(Mesh(made.vertices + [0, 50, 0], made.faces))
    whole = whole_of_half(half, RIGHT, 40.0, 0.0, "box").mesh
    assert not solid_flaws(whole, 0.001) and whole.volume_mm3 == pytest.approx(200 * 200 * 80)
    assert not (whole.triangles[:, :, 1] == 0).all(1).any()


def test_the_wrong_side():
    with pytest.raises(BadInput, match="skin on the left"):
        whole_of_half(roof(1.0, y_from=10.0), HalfTable(side="left"), 40.0, 0.0, "roof")


@pytest.mark.parametrize("gap", [-6.0, 0.5])
def test_the_rim_at_the_centre_is_no_hole_to_be_closed(gap):
    """A half of 800 x 300 x 200 with holes of up to 2 m closed: its centre rim, beyond y = 0 or short of it, is not;
    the whole has no wall within."""
    made = trimesh.creation.icosphere(5)
    egg_ = Mesh(made.vertices * [400, 150, 100], made.faces)
    half = egg_.submesh((egg_.triangles[:, :, 1] > gap).all(1))
    half = Mesh(half.vertices + [0, max(0.0, 0.4 - half.vertices[:, 1].min()) if gap > 0 else 0, 0], half.faces)
    whole = {"name": "it", "body": {"file": "it.stl", "units": "mm"}, "repair": {"limit": 0.3, "holes": 2000.0}}
    settings = Settings.model_validate({**whole, "half": {"side": "right", "reach": 12.0}})
    skin = prepare(half, settings, Path("it.stl")).skin
    assert not (np.abs(skin.triangles[:, :, 1]) < 1).all(1).any()
    assert skin.volume_mm3 == pytest.approx(4 / 3 * math.pi * 400 * 150 * 100, rel=0.06)
