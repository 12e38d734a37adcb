"""Bosses by where they are seen: on a box and a ball, whose places and depths are known."""

import json

import numpy as np
import pytest
import trimesh

from sections.errors import BadInput
from sections.numbers.mesh import Mesh
from sections.plan.seen_places import with_seen_places
from sections.settings import Settings
from sections.solids.distance import MeshDistance
from sections.standards import insert
from tests.conftest import command


def skin_of(made):
    return MeshDistance(Mesh(np.array(made.vertices, float), np.array(made.faces, np.int64)))


BOX = skin_of(trimesh.creation.box((300.0, 200.0, 160.0)))
BALL = skin_of(trimesh.creation.icosphere(subdivisions=5, radius=150.0))


def settings_with(seen, **more):
    boss = {"id": "lamp", "insert": "M4", "seen": seen} | more
    return Settings.model_validate({"name": "any", "body": {"file": "any.stl", "units": "mm"}, "bosses": [boss]})


def found(skin, seen, **more):
    boss = with_seen_places(settings_with(seen, **more), skin).bosses[0]
    assert boss.seen is None
    return np.array(boss.at), np.array(boss.axis)


# Wall 4 mm, web 1.6: from the hole's end to the skin 2 mm; and the step by which it is looked for.
DEEP = insert("M4").hole_depth + 2.0 + 0.25


@pytest.mark.parametrize(
    ("side", "at", "mouth", "faces"),
    [
        ("right", [20, 30], (20, 100 - DEEP, 30), (0, -1, 0)),
        ("left", [20, 30], (20, DEEP - 100, 30), (0, 1, 0)),
        ("top", [20, 30], (20, 30, 80 - DEEP), (0, 0, -1)),
        ("bottom", [20, 30], (20, 30, DEEP - 80), (0, 0, 1)),
        ("front", [20, 30], (DEEP - 150, 20, 30), (1, 0, 0)),
        ("rear", [20, 30], (150 - DEEP, 20, 30), (-1, 0, 0)),
    ],
)
def test_on_a_box(side, at, mouth, faces):
    place, axis = found(BOX, {"side": side, "at": at})
    assert place == pytest.approx(mouth) and axis == pytest.approx(faces)


def test_as_deep_as_asked():
    place, _ = found(BOX, {"side": "top", "at": [0, 0], "below": 25})
    assert place == pytest.approx((0, 0, 55))


@pytest.mark.parametrize("aside", [0.0, 60.0, 110.0])
def test_on_a_ball(aside):
    """The mouth faces its middle; about the hole's end, 2 mm of plastic are left, and no more than a step beyond."""
    place, axis = found(BALL, {"side": "right", "at": [aside, 0]})
    on_skin = np.array([aside, np.sqrt(150**2 - aside**2), 0])
    assert axis == pytest.approx(-on_skin / 150, abs=0.02)
    below = 150 - np.linalg.norm(place)
    depth, radius = insert("M4").hole_depth, insert("M4").hole / 2
    left = 150 - np.hypot(150 - (below - depth), radius)
    assert 2.0 - 0.1 <= left <= 2.0 + 0.25 + 0.1


def test_an_axis_of_its_own():
    """Given an axis, the mouth lies along it from the place seen; the hole leans, and is set so much deeper."""
    lean = np.radians(30)
    place, axis = found(BOX, {"side": "top", "at": [0, 0]}, axis=[np.sin(lean), 0, -np.cos(lean)])
    assert axis == pytest.approx([np.sin(lean), 0, -np.cos(lean)])
    depth, radius = insert("M4").hole_depth, insert("M4").hole / 2
    left = 80 - place[2] - depth * np.cos(lean) - radius * np.sin(lean)
    assert 2.0 <= left <= 2.26


@pytest.mark.parametrize(
    ("seen", "words"),
    [
        ({"side": "right", "at": [400, 0]}, ["bosses[1].seen", "seen from the right"]),
        ({"side": "top", "at": [0, 101]}, ["seen from the top"]),
    ],
)
def test_beside_the_body(seen, words):
    with pytest.raises(BadInput) as error:
        with_seen_places(settings_with(seen), BOX)
    assert all(word in str(error.value) for word in words)


def test_no_room_behind():
    """A plate 6 mm thick has no room for a hole and plastic on both sides."""
    plate = skin_of(trimesh.creation.box((300.0, 6.0, 160.0)))
    with pytest.raises(BadInput, match="mm of plastic between its hole and the skin"):
        with_seen_places(settings_with({"side": "right", "at": [0, 0]}), plate)


def test_by_the_command(brick_folder):
    """On the brick's roof, seen from above: built and measured without a finding, its place in plan.json."""
    lamp = '\n[[bosses]]\nid = "lamp"\ninsert = "M4"\nseen = { side = "top", at = [60, 20] }\n'
    (brick_folder / "brick.toml").write_text((brick_folder / "brick.toml").read_text() + lamp)
    code, _, said = command("build", brick_folder / "brick.toml", "--out", brick_folder / "out")
    assert code == 0 and "no findings" in said, said
    plan = json.loads((brick_folder / "out" / "brick" / "plan.json").read_text())
    assert plan["bosses"][0]["frame"]["origin"] == pytest.approx([60, 20, 100 - DEEP], abs=0.01)
    both = lamp.replace("seen =", "at = [60, 20, 80]\nseen =")
    (brick_folder / "brick.toml").write_text((brick_folder / "brick.toml").read_text().replace(lamp, both))
    code, _, said = command("build", brick_folder / "brick.toml", "--out", brick_folder / "out")
    assert code == 2 and "exactly one of `at` and `seen`" in said
