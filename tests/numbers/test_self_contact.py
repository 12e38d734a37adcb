"""Meshes that touch themselves, taken apart: every edge has two faces then, and nothing has moved.

Boxes laid edge to edge and corner to corner, by hand; surfaces and their Euler characteristics counted by trimesh.
"""

import numpy as np
import pytest
import trimesh

from sections.numbers.mesh import Mesh, join, weld_exact
from sections.numbers.self_contact import taken_apart
from sections.solids.print_solid import PrintSolid


def boxes(*places, size=10.0):
    made = trimesh.creation.box((size, size, size))
    return weld_exact(join([Mesh(made.vertices + np.array(place) * size, made.faces) for place in places]))


def ring_of_boxes():
    """Four boxes about an edge, as on a chess board two of them black: one edge of four faces."""
    return boxes((0, 0, 0), (1, 1, 0))


@pytest.mark.parametrize(
    ("places", "edges", "corners", "bodies"),
    [
        (((0, 0, 0), (1, 1, 0)), 1, 0, 2),
        (((0, 0, 0), (1, 1, 0), (0, 2, 0)), 2, 0, 3),
        (((0, 0, 0), (1, 1, 1)), 0, 1, 2),
        (((0, 0, 0), (1, 1, 0), (1, -1, 0), (-1, 1, 0), (-1, -1, 0)), 4, 0, 5),
        (((0, 0, 0), (5, 0, 0)), 0, 0, 2),
    ],
)
def test_boxes(places, edges, corners, bodies):
    mesh = boxes(*places)
    made = taken_apart(mesh)
    assert (len(made.edges), len(made.corners)) == (edges, corners)
    assert np.array_equal(made.mesh.triangles, mesh.triangles)
    whole = trimesh.Trimesh(made.mesh.vertices, made.mesh.faces, process=False)
    assert whole.is_watertight and whole.is_winding_consistent
    assert whole.body_count == bodies and whole.euler_number == 2 * bodies
    assert PrintSolid.of(made.mesh).volume_mm3 == pytest.approx(len(places) * 1000)


def test_where_it_was():
    made = taken_apart(ring_of_boxes())
    assert made.edges == pytest.approx(np.array([[5, 5, 0]]))
    assert taken_apart(boxes((0, 0, 0), (1, 1, 1))).corners == pytest.approx(np.array([[5, 5, 5]]))


def test_a_groove_of_no_width():
    """A slab with a groove of triangular section whose bottom edge reaches the underside: one body of two halves."""
    outline = np.array([[-20, 0], [0, 0], [20, 0], [20, 10], [5, 10], [0, 0], [-5, 10], [-20, 10]], float)
    slab = [
        trimesh.creation.extrude_polygon(trimesh.path.polygons.Polygon(part), 30)
        for part in (outline[[0, 1, 6, 7]], outline[[1, 2, 3, 4]])
    ]
    mesh = weld_exact(join([Mesh(np.asarray(one.vertices), np.asarray(one.faces)) for one in slab]))
    made = taken_apart(mesh)
    assert len(made.edges) == 1
    whole = trimesh.Trimesh(made.mesh.vertices, made.mesh.faces, process=False)
    assert whole.is_watertight and whole.body_count == 2


@pytest.mark.parametrize("spoil", ["a membrane", "doubled", "turned"])
def test_what_is_not_plain_stays(spoil):
    """Three faces at an edge; two boxes with a side in common; a box of the two turned in."""
    if spoil == "doubled":
        mesh = boxes((0, 0, 0), (1, 0, 0))
    else:
        mesh = ring_of_boxes()
        if spoil == "turned":
            mesh = Mesh(mesh.vertices, np.vstack([mesh.faces[:12], mesh.faces[12:, ::-1]]))
        else:
            wall = np.array([[mesh.faces[0][0], mesh.faces[0][1], len(mesh.vertices)]])
            mesh = boxes((0, 0, 0))
            wall = np.array([[mesh.faces[0][0], mesh.faces[0][1], len(mesh.vertices)]])
            mesh = Mesh(np.vstack([mesh.vertices, [[0, 0, 40]]]), np.vstack([mesh.faces, wall]))
    made = taken_apart(mesh)
    assert len(made.edges) == 0 and np.array_equal(made.mesh.faces, mesh.faces)


@pytest.mark.parametrize("seed", range(4))
def test_random_cells(seed):
    """A third of the cells of a 5 x 5 x 5 block, filled at random and drawn as a skin without walls between them: all
    edges of four faces come apart; trimesh finds it closed."""
    filled = np.zeros((7, 7, 7), bool)
    filled[1:6, 1:6, 1:6] = np.random.default_rng(seed).random((5, 5, 5)) < 0.33
    mesh = weld_exact(_skin_of(filled))
    made = taken_apart(mesh)
    assert len(made.edges) > 5
    whole = trimesh.Trimesh(made.mesh.vertices, made.mesh.faces, process=False)
    assert whole.is_watertight and whole.is_winding_consistent
    assert whole.volume == pytest.approx(filled.sum())
    assert PrintSolid.of(made.mesh).volume_mm3 == pytest.approx(filled.sum())


def _skin_of(filled):
    """The faces of filled cells of side 1 that look on an empty one, two triangles each."""
    corners, faces = [], []
    for axis in range(3):
        one, two = (axis + 1) % 3, (axis + 2) % 3
        for sign in (1, -1):
            for cell in np.argwhere(filled & ~np.roll(filled, -sign, axis)):
                square = np.repeat(cell[None].astype(float), 4, 0)
                square[:, axis] += max(sign, 0)
                square[:, one] += [0, 1, 1, 0]
                square[:, two] += [0, 0, 1, 1]
                start = 4 * len(corners)
                corners.append(square)
                turn = [[0, 1, 2], [0, 2, 3]] if sign > 0 else [[0, 2, 1], [0, 3, 2]]
                faces += [[start + corner for corner in face] for face in turn]
    return Mesh(np.vstack(corners), np.array(faces))
