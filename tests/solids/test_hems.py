"""Rims folded back under an open skin: areas in closed form, of panels drawn along a line."""

import numpy as np
import pytest
import trimesh

from sections.numbers.mesh import Mesh, weld_exact
from sections.solids.as_given import as_given
from sections.solids.hems import without_hems
from tests.shared import command

LONG = 300.0


def panel(back, radius, turn=180.0, half=150.0, bow=20.0):
    """A crowned panel of 300 x 300 whose sides turn down by so many degrees and run on for `back` mm."""
    y = np.linspace(-half, half, 41)
    crown = np.column_stack([y, bow * (1 - (y / half) ** 2)])
    slope = np.arctan2(-2 * bow / half, 1)
    into = np.array([np.sin(slope), -np.cos(slope)])
    turned = np.radians(np.linspace(0, turn, 13)[1:])
    at = np.arctan2(-into[1], -into[0]) - turned
    curl = crown[-1] + radius * into + radius * np.column_stack([np.cos(at), np.sin(at)])
    along = np.array([np.cos(slope - turned[-1]), np.sin(slope - turned[-1])])
    side = np.vstack([curl, curl[-1] + np.outer(np.linspace(0, back, 6)[1:], along)]) if back else curl
    return np.vstack([(side * [-1, 1])[::-1], crown, side])


def skin(profile, steps=30):
    """The profile drawn along x."""
    n = len(profile)
    corners = np.array([[x, *place] for x in np.linspace(0, LONG, steps + 1) for place in profile])
    one = np.array([i * n + j for i in range(steps) for j in range(n - 1)])
    halves = [np.column_stack([one, one + n, one + n + 1]), np.column_stack([one, one + n + 1, one + 1])]
    return weld_exact(Mesh(corners, np.vstack(halves)))


@pytest.mark.parametrize("radius", [0.5, 1.0, 2.0])
@pytest.mark.parametrize("inward", [False, True])
def test_a_hem(radius, inward):
    """Folded back for 25 mm, 1 to 4 mm under the panel: what goes is that, and the inner half of the fold, on either
    side; whichever way the file's faces look."""
    made = skin(panel(25.0, radius))
    given = Mesh(made.vertices, made.faces[:, ::-1]) if inward else made
    lost = ~without_hems(given, 10.0)
    assert given.areas_mm2[lost].sum() == pytest.approx(2 * LONG * (25 + np.pi * radius / 2), rel=0.03)
    # All of the crown stays.
    assert given.triangles[~lost].reshape(-1, 3)[:, 1].max() == pytest.approx(150 + radius, abs=1.0)
    assert not lost[np.abs(given.triangles[:, :, 1]).max(1) < 110].any()


@pytest.mark.parametrize(
    "profile",
    [panel(0.0, 8.0, 60.0), panel(20.0, 8.0, 90.0), panel(25.0, 8.0), panel(0.0, 7.0, 180.0)],
    ids=["turned down", "a flange", "room for two walls", "a rolled edge"],
)
def test_no_hem(profile):
    """What has more room behind it than was asked stays."""
    assert without_hems(skin(profile), 10.0).all()


def test_a_blade_is_no_hem():
    """A blade 6 mm thick and 40 high stands on a panel: its sides are back to back, and neither is a hem."""
    flat = np.column_stack([np.linspace(-150, -3, 30), np.zeros(30)])
    up = np.column_stack([np.full(8, -3.0), np.linspace(5, 40, 8)])
    profile = np.vstack([flat, up, (up * [-1, 1])[::-1], (flat * [-1, 1])[::-1]])
    assert without_hems(skin(profile), 10.0).all()


def test_a_groove_is_no_hem():
    """A groove 6 mm wide and 20 deep in a panel's front: its sides look at one another, from the front."""
    flat = np.column_stack([np.linspace(-150, -3, 30), np.zeros(30)])
    down = np.column_stack([np.full(5, -3.0), np.linspace(-4, -20, 5)])
    profile = np.vstack([flat, down, (down * [-1, 1])[::-1], (flat * [-1, 1])[::-1]])
    assert without_hems(skin(profile), 10.0, np.array([0.0, 0.0, 1.0])).all()


def test_not_asked_to_be_there():
    """A hem that is cut off as asked is nothing that the sections lack."""
    made = skin(panel(25.0, 1.0))
    lost = ~without_hems(made, 10.0)
    given = as_given(made, 0.1, made.submesh(lost).compact())
    area = len(given.points) * given.area_mm2
    assert area == pytest.approx(made.areas_mm2[~lost].sum(), rel=0.02)


def test_by_the_command(tmp_path):
    """`inspect` finds the way on, and `prepare` takes it."""
    made = skin(panel(25.0, 2.0))
    trimesh.Trimesh(made.vertices, made.faces, process=False).export(tmp_path / "it.stl")
    code, _, said = command("inspect", tmp_path / "it.stl", "--units", "mm", cwd=tmp_path)
    assert "this in the parameter file repairs it, as tried:\n    [body]\n    open = true" in said, said
    lines = said.split("as tried:\n")[1].split("or this")[0]
    assert "hems = 13" in lines
    file = 'open = true\nfile = "it.stl"\nunits = "mm"'
    body = "\n".join(line.strip() for line in lines.splitlines()).replace("open = true", file)
    (tmp_path / "it.toml").write_text(f'name = "it"\n{body}\n[seams]\nplanes = []\n')
    code, _, said = command("prepare", tmp_path / "it.toml", "--out", tmp_path / "out")
    assert code == 0 and "repair.hems: 2 rims folded back under the skin cut off, 16 5" in said, said
