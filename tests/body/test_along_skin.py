"""Places by their distance along the skin: on a box, a ball and a rod, whose lengths are known in closed form."""

from pathlib import Path

import numpy as np
import pytest
import trimesh

from sections.body.seen_places import SkinPlaces
from sections.errors import BadInput
from sections.numbers.level_lines import level_lines
from sections.numbers.mesh import Mesh
from sections.settings import Settings
from sections.settings.places import SeenPlace
from sections.solids.distance import MeshDistance

RADIUS = 150.0


def skin_of(made):
    return MeshDistance(Mesh(np.array(made.vertices, float), np.array(made.faces, np.int64)))


BOX = skin_of(trimesh.creation.box((300.0, 200.0, 160.0)))
# 81920 faces; its edges, at most 3 mm long, lie at most 0.008 mm below the ball.
BALL = skin_of(trimesh.creation.icosphere(subdivisions=6, radius=RADIUS))
SEAM = {"id": "x1", "axis": "x", "at": 40}


def found(skin, seen, seams=(SEAM,), openings=()):
    tables = {"name": "any", "body": {"file": "any.stl", "units": "mm"}}
    tables |= {"seams": {"planes": list(seams)}, "openings": list(openings)}
    places = SkinPlaces(Settings.model_validate(tables), Path(), skin)
    return places.find(SeenPlace.model_validate(seen), "bosses[1].seen", "lamp")


@pytest.mark.parametrize(
    ("by", "end", "place", "inward"),
    [
        (0, "high", (40, 100, 20), (0, -1, 0)),
        (50, "high", (90, 100, 20), (0, -1, 0)),
        (50, "low", (-10, 100, 20), (0, -1, 0)),
        # Round the corner: 110 to the end of the side, 30 along the end; and the other way, 190 and 60.
        (140, "high", (150, 70, 20), (-1, 0, 0)),
        (250, "low", (-150, 40, 20), (1, 0, 0)),
    ],
)
def test_along_a_box(by, end, place, inward):
    seen = {"side": "right", "beside": "x1", "end": end, "by": by, "z": 20}
    assert found(BOX, seen) == (pytest.approx(place), pytest.approx(inward))


@pytest.mark.parametrize(("side", "sign"), [("right", 1), ("left", -1)])
@pytest.mark.parametrize(("by", "end", "way"), [(60.0, "high", 1), (100.0, "low", -1)])
def test_along_a_ball(side, sign, by, end, way):
    """At z = 90 a circle of radius 120: from x = 40 on, an arc of so many mm is by / 120 radian."""
    place, _ = found(BALL, {"side": side, "beside": "x1", "end": end, "by": by, "z": 90})
    angle = np.arcsin(40 / 120) + way * by / 120
    assert place == pytest.approx((120 * np.sin(angle), sign * 120 * np.cos(angle), 90), abs=0.1)


def test_a_seam_that_leans():
    """Seen from above at y = 0, a great circle: the plane x cos 30 + z sin 30 = 75 cuts it 60 deg to either side of its
    normal, which lies 60 deg off the top: at 0 and 120 deg off it, of which the first is seen first."""
    leans = {"id": "n1", "normal": [np.cos(np.pi / 6), 0, np.sin(np.pi / 6)], "at": 75}
    place, _ = found(BALL, {"side": "top", "beside": "n1", "end": "high", "by": 50, "y": 0}, [leans])
    angle = 50 / RADIUS
    assert place == pytest.approx((RADIUS * np.sin(angle), 0, RADIUS * np.cos(angle)), abs=0.1)


LAMP = {"id": "lamp", "kind": "cylinder", "centre": [0, 100, 0], "axis": [0, 1, 0], "radius": 30, "length": 80}


@pytest.mark.parametrize(("end", "way"), [("low", -1), ("high", 1)])
def test_from_the_edge_of_an_opening(end, way):
    """A round hole of radius 30 about x = 0, z = 0 in the box's side: at z = 18 its edges are at x = -24 and 24, the
    place 15 further on. The hole's facets lie at most 0.1 inside its round."""
    place, inward = found(BOX, {"side": "right", "beside": "lamp", "end": end, "by": 15, "z": 18}, openings=[LAMP])
    assert place == pytest.approx((way * 39, 100, 18), abs=0.15) and inward == pytest.approx((0, -1, 0))


def test_an_opening_that_is_itself_measured():
    """The lamp's middle 60 behind x1, at 100; its edge, level with it, at 130; 10 further."""
    seen = {"side": "right", "beside": "x1", "end": "high", "by": 60, "z": 0}
    lamp = {key: LAMP[key] for key in ("id", "kind", "radius", "length")} | {"seen": seen}
    place, _ = found(BOX, {"side": "right", "beside": "lamp", "end": "high", "by": 10, "z": 0}, openings=[lamp])
    assert place == pytest.approx((140, 100, 0), abs=0.1)


def test_upward_from_an_edge():
    """At a level of x the way goes up: from the hole's upper edge, 30, over the box's edge at 80 onto its top."""
    place, inward = found(BOX, {"side": "right", "beside": "lamp", "end": "high", "by": 70, "x": 0}, openings=[LAMP])
    assert place == pytest.approx((0, 80, 80), abs=0.1) and inward == pytest.approx((0, 0, -1))


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"z": 90}, "a level that cuts the body, z from -80.0 to 80.0"),
        ({"beside": "lamp", "z": 60}, "a level at which lamp meets the skin"),
        ({"by": 1000}, "less than the skin is long at z = 20, 1000 mm in all"),
    ],
)
def test_no_such_place(change, words):
    seen = {"side": "right", "beside": "x1", "end": "high", "by": 10, "z": 20} | change
    with pytest.raises(BadInput) as refused:
        found(BOX, seen, openings=[LAMP])
    assert words in str(refused.value) and "bosses[1].seen" in str(refused.value)


def test_lines_of_a_level():
    """The box cut at z = 20: one closed line around 300 x 200; the ball above its top: none."""
    (line,) = level_lines(BOX.mesh, 2, 20.0).geoms
    assert line.is_ring and line.length == pytest.approx(1000) and line.bounds == pytest.approx((-150, -100, 150, 100))
    assert level_lines(BALL.mesh, 2, 151.0).is_empty
