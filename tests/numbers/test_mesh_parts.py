"""Sharp edges, fans about corners, open meshes with a back, equal rows, orders in space: counted by hand."""

import numpy as np
import pytest
import trimesh

from sections.numbers.closed_by_back import backed
from sections.numbers.mesh import Mesh
from sections.numbers.pinched_corners import fans_apart
from sections.numbers.rows import unique_rows
from sections.numbers.sharp import sharp_edges
from sections.numbers.space_order import space_order
from sections.numbers.words import place_words, printable


def mesh_of(made):
    return Mesh(np.array(made.vertices, float), np.array(made.faces, np.int64))


BOX = mesh_of(trimesh.creation.box((4.0, 3.0, 2.0)))


@pytest.mark.parametrize(("angle", "count"), [(89.0, 12), (91.0, 0)])
def test_a_box_has_twelve_sharp_edges(angle, count):
    assert len(sharp_edges(BOX, angle)) == count


def test_a_prism_of_many_sides():
    """24 sides turn by 15 deg each: at 14 all its uprights are sharp, at 16 the two rims alone, 24 edges each."""
    prism = mesh_of(trimesh.creation.cylinder(20.0, 30.0, sections=24))
    assert len(sharp_edges(prism, 14.0)) == 72
    assert len(sharp_edges(prism, 16.0)) == 48


def test_an_edge_beside_a_sliver_is_left_out():
    """A triangle 0.1 mm wide has its direction by chance."""
    vertices = np.array([[0, 0, 0], [10, 0, 0], [5, 8, 0], [5, 0, -0.1]], float)
    assert len(sharp_edges(Mesh(vertices, np.array([[0, 1, 2], [1, 0, 3]])), 30.0)) == 0


def test_two_open_sheets_on_one_corner():
    """Each gets a corner of its own, and nothing moves; two closed boxes on one corner keep the one they share."""
    square = np.array([[0, 0, 0], [1, 0, 0], [1, 1, 0], [0, 1, 0]], float)
    faces = np.array([[0, 1, 2], [0, 2, 3]])
    both = np.vstack([square, square + [1, 1, 0]])
    first, place = unique_rows(both)
    joined = Mesh(both[first], place[np.vstack([faces, faces + 4])])
    apart, shared = fans_apart(joined)
    assert (len(joined.vertices), len(apart.vertices), len(shared)) == (7, 8, 2)
    assert np.array_equal(apart.triangles, joined.triangles)
    assert len(trimesh.Trimesh(apart.vertices, apart.faces, process=False).split(only_watertight=False)) == 2
    first, place = unique_rows(np.vstack([BOX.vertices, BOX.vertices + [4.0, 3.0, 2.0]]))
    boxes = Mesh(
        np.vstack([BOX.vertices, BOX.vertices + [4.0, 3.0, 2.0]])[first], place[np.vstack([BOX.faces, BOX.faces + 8])]
    )
    assert len(fans_apart(boxes)[0].vertices) == 15


def test_a_square_with_a_back():
    """A square plate 10 mm wide, its back 3 mm behind: a closed box of 300 mm3, its strip 4 x 30 mm2."""
    vertices = np.array([[0, 0, 0], [10, 0, 0], [10, 10, 0], [0, 10, 0]], float)
    closed, strip = backed(Mesh(vertices, np.array([[0, 1, 2], [0, 2, 3]])), vertices - [0, 0, 3.0])
    assert trimesh.Trimesh(closed.vertices, closed.faces).is_watertight
    assert closed.volume_mm3 == pytest.approx(300.0)
    assert strip.areas_mm2.sum() == pytest.approx(120.0)


def test_equal_rows():
    """As np.unique groups them, and one zero for two."""
    rows = np.random.default_rng(4).integers(0, 4, (500, 3)).astype(float)
    first, group = unique_rows(rows)
    assert np.array_equal(rows[first][group], rows)
    assert len(first) == len(np.unique(rows, axis=0))
    assert len(unique_rows(np.array([[0.0, 1.0], [-0.0, 1.0]]))[0]) == 1


def test_neighbours_follow_one_another():
    """In order, the mean way from a point to the next is far shorter than as they came; every point is there once."""
    points = np.random.default_rng(5).random((8000, 3)) * [1000.0, 10.0, 1.0]
    order = space_order(points)
    assert np.array_equal(np.sort(order), np.arange(len(points)))
    way = [
        np.linalg.norm(np.diff(some / [1000.0, 10.0, 1.0], axis=0), axis=1).mean() for some in (points, points[order])
    ]
    assert way[1] < 0.15 * way[0]
    assert space_order(points[:20]) is None
    assert np.array_equal(np.sort(space_order(np.zeros((4000, 3)))), np.arange(4000)), "all in one place"


def test_words():
    assert place_words((1.04, -0.04, 123.456)) == "(1.0, 0.0, 123.5)"
    assert printable("a\x1b[2Jb\u202ec\td\ne") == "a?[2Jb?c\td\ne"
