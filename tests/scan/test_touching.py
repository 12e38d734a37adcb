"""Skins that touch themselves are taken as they are, and what lies over itself is still refused."""

from pathlib import Path

import numpy as np
import pytest
import trimesh

from sections.errors import BadInput
from sections.numbers.mesh import Mesh, join, weld_exact
from sections.scan.health import examine
from sections.scan.prepare import prepare
from sections.scan.sound_mesh import sound_mesh
from sections.settings.model import Settings
from sections.solids.crossing import crossing_faces

SETTINGS = Settings.model_validate({"name": "it", "body": {"file": "it.stl", "units": "mm"}})


def two_boxes(shift):
    made = trimesh.creation.box((200, 100, 80)).subdivide()
    return join([Mesh(made.vertices, made.faces), Mesh(made.vertices + np.array(shift), made.faces)])


def test_edge_to_edge():
    """Four faces at each of its two edges, two of each four in one plane: sound, nothing moved, and said so."""
    made = prepare(two_boxes((0, 100, 80)), SETTINGS, Path("it.stl"))
    assert np.array_equal(made.skin.triangles, weld_exact(two_boxes((0, 100, 80))).triangles)
    assert any("2 edges of four or more faces taken apart, nothing moved: at (" in line for line in made.lines)
    health = examine(two_boxes((0, 100, 80)), 0.1)
    assert health.is_sound and [one.flaw.code for one in health.ailments] == ["touching"]


def test_corner_to_corner():
    made = prepare(two_boxes((200, 100, 80)), SETTINGS, Path("it.stl"))
    assert any("1 corners that parts met in taken apart, nothing moved: at (100.0, 50.0, 40.0)" in line
               for line in made.lines)  # fmt: skip


@pytest.mark.parametrize("shift", [(200, 0, 0), (100, 50, 40)], ids=["a side in common", "one in the other"])
def test_no_touching(shift):
    with pytest.raises(BadInput):
        sound_mesh(two_boxes(shift), 0.1, "it")


@pytest.mark.parametrize(("third", "again", "over"), [((5, -8), False, 0), ((5, -8), True, 0), ((5, 8), True, 2)])
def test_two_faces_at_an_edge_in_one_plane(third, again, over):
    """They lie over one another only on the same side of it. again : the one runs along it against the other. (Two that
    run the same way on the same side are doubled or turned, which is found by their edges.)"""
    corners = np.array([[0, 0, 0], [10, 0, 0], [4, 9, 0], [*third, 0]], float)
    faces = np.array([[0, 1, 2], [1, 0, 3] if again else [0, 1, 3]])
    assert len(crossing_faces(Mesh(corners, faces), 0.02)) == over


@pytest.mark.parametrize("turn", [0.0, 0.7, 2.1])
@pytest.mark.parametrize(("wide", "over"), [(0.005, 0), (0.015, 2), (0.1, 2), (5.0, 2)])
def test_two_faces_in_one_plane_that_share_a_strip(wide, over, turn):
    """The second begins `wide` short of the first's side: counted where the strip they share is wider than 0.02, by no
    more than twice; one of no width lies on nothing."""
    flat = np.array([[0, 0, 0], [40, 0, 0], [20, 30, 0], [0, wide, 0], [20, -30, 0], [40, wide, 0]], float)
    cosine, sine = np.cos(turn), np.sin(turn)
    corners = flat @ np.array([[cosine, 0, sine], [0, 1, 0], [-sine, 0, cosine]])
    faces = np.array([[0, 1, 2], [3, 4, 5]])
    assert len(crossing_faces(Mesh(corners, faces), 0.02)) == over
    needle = np.vstack([corners[:3], corners[:2], corners[:2].mean(0)])
    assert len(crossing_faces(Mesh(needle, faces), 0.02)) == 0
