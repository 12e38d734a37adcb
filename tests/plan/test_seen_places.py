"""Things by where they are seen: on a box and a ball, whose places and depths are known."""

import json
from pathlib import Path

import numpy as np
import pytest
import trimesh

from sections.errors import BadInput
from sections.numbers.mesh import Mesh
from sections.plan.seen_places import with_seen_places
from sections.settings import Settings
from sections.solids.distance import MeshDistance
from sections.standards import insert
from tests.shared import command


def skin_of(made):
    return MeshDistance(Mesh(np.array(made.vertices, float), np.array(made.faces, np.int64)))


BOX = skin_of(trimesh.creation.box((300.0, 200.0, 160.0)))
BALL = skin_of(trimesh.creation.icosphere(subdivisions=5, radius=150.0))


def settings_with(seen, **more):
    boss = {"id": "lamp", "insert": "M4", "seen": seen} | more
    return Settings.model_validate({"name": "any", "body": {"file": "any.stl", "units": "mm"}, "bosses": [boss]})


def found(skin, seen, **more):
    boss = with_seen_places(settings_with(seen, **more), Path(), skin).bosses[0]
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
        with_seen_places(settings_with(seen), Path(), BOX)
    assert all(word in str(error.value) for word in words)


def test_no_room_behind():
    """A plate 6 mm thick has no room for a hole and plastic on both sides."""
    plate = skin_of(trimesh.creation.box((300.0, 6.0, 160.0)))
    with pytest.raises(BadInput, match="mm of plastic between its hole and the skin"):
        with_seen_places(settings_with({"side": "right", "at": [0, 0]}), Path(), plate)


def placed(skin, **tables):
    given = {"name": "any", "body": {"file": "any.stl", "units": "mm"}} | tables
    return with_seen_places(Settings.model_validate(given), Path(), skin)


def test_a_hardpoint():
    """Its mouth lies as far below the ball's skin as is given, along its axis: straight off the skin, or its own."""
    seen = {"side": "right", "at": [60, 0], "below": 30}
    point = {"id": "mount", "insert": "M5", "seen": seen}
    one = placed(BALL, hardpoints=[point]).hardpoints[0]
    on_skin = np.array([60, np.sqrt(150**2 - 60**2), 0])
    assert one.at == pytest.approx(on_skin * 120 / 150, abs=0.6) and one.axis == pytest.approx(-on_skin / 150, abs=0.02)
    one = placed(BALL, hardpoints=[point | {"axis": [0, -2, 0]}]).hardpoints[0]
    assert one.at == pytest.approx(on_skin - [0, 30, 0], abs=0.1) and one.axis == pytest.approx([0, -1, 0])


def test_a_lamp_and_a_place_clear_of_seams():
    """A round opening stands square to the skin, its middle on it; a keep-out along its own axis, its middle below."""
    seen = {"side": "rear", "at": [20, 30]}
    bar = {"id": "lamp", "kind": "cylinder", "radius": 30, "length": 60}
    tables = {
        "openings": [bar | {"seen": seen}],
        "keepouts": [bar | {"seen": seen | {"below": 40}, "axis": [0, 0, 3]}],
        "seams": {"clear": [{"seen": seen, "radius": 50}]},
    }
    made = placed(BOX, **tables)
    assert made.openings[0].centre == pytest.approx([150, 20, 30])
    assert np.abs(made.openings[0].axis) == pytest.approx([1, 0, 0])
    assert made.keepouts[0].centre == pytest.approx([110, 20, 30]) and made.keepouts[0].axis == pytest.approx([0, 0, 1])
    assert made.seams.clear[0].at == pytest.approx([150, 20, 30])


def test_all_that_is_beside_the_body_is_named():
    away = {"side": "top", "at": [0, 101]}
    tables = {
        "openings": [{"id": "lamp", "kind": "cylinder", "radius": 30, "length": 60, "seen": away}],
        "hardpoints": [{"id": "mount", "insert": "M5", "seen": away | {"below": 20}}],
        "seams": {"clear": [{"seen": away, "radius": 50}]},
    }
    with pytest.raises(BadInput) as error:
        placed(BOX, **tables)
    for key in ("openings[1].seen", "hardpoints[1].seen", "seams.clear[1].seen"):
        assert key in str(error.value)


LAMP = 'id = "lamp"\nkind = "cylinder"\nradius = 20\nlength = 30\n'


@pytest.mark.parametrize(
    ("lines", "words"),
    [
        ('[[hardpoints]]\nid = "h"\ninsert = "M5"\nseen = { side = "top", at = [60, 0] }', "hardpoints[1].seen.below"),
        ('[[hardpoints]]\nid = "h"\ninsert = "M5"', "exactly one of `at` and `seen`"),
        ("[[seams.clear]]\nradius = 20", "exactly one of `at` and `seen`"),
        (f"[[openings]]\n{LAMP}", "exactly one of `centre` and `seen`"),
        (f"[[openings]]\n{LAMP}centre = [60, 0, 0]", "openings[2].axis"),
    ],
)
def test_given_once(brick_folder, lines, words):
    (brick_folder / "brick.toml").write_text((brick_folder / "brick.toml").read_text() + f"\n{lines}\n")
    code, _, said = command("build", brick_folder / "brick.toml", "--out", brick_folder / "out")
    assert code == 2 and words in said, said


def test_a_lamp_by_the_command(brick_folder):
    """A round opening of 20 in the brick's roof, seen from above, 60 along the skin from the seam at 120, as the file
    works out: built and measured without a finding, and open where a ray comes down within its radius."""
    seen = 'side = "top", beside = "x1", end = "low", by = "2 * gap", y = 20'
    lines = f"\n[[openings]]\n{LAMP}seen = {{ {seen} }}\n\n[dimensions]\ngap = 30\n"
    (brick_folder / "brick.toml").write_text((brick_folder / "brick.toml").read_text() + lines)
    code, _, said = command("build", brick_folder / "brick.toml", "--out", brick_folder / "out")
    assert code == 0 and "no findings" in said, said
    mesh = trimesh.load(brick_folder / "out" / "brick" / "sections" / "X0.stl")
    plan = json.loads((brick_folder / "out" / "brick" / "plan.json").read_text())
    pose = next(section["pose"] for section in plan["sections"] if section["id"] == "X0")
    x, z = np.array(pose["x"]), np.array(pose["z"])
    bed = np.array([x, np.cross(z, x), z])
    for aside, open_ in ((0.0, True), (19.0, True), (21.0, False)):
        start = bed @ (np.array([60 - aside, 20, 110]) - pose["origin"])
        met = mesh.ray.intersects_location([start], [bed @ [0, 0, -1.0]], multiple_hits=False)[0]
        # The roof is 4 thick, 10 below.
        assert (not len(met) or np.linalg.norm(met[0] - start) > 15) == open_, aside


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
