"""Winding numbers, frames of the CAD kernel, a mesh cut at a plane, filled outlines, even turns, binary STL."""

import struct

import cadquery as cq
import numpy as np
import pytest
import trimesh

from sections.numbers.frame import Frame, Plane
from sections.numbers.mesh import Mesh
from sections.solids.box_turns import even_turns
from sections.solids.distance import MeshDistance, corner_normals
from sections.solids.fill import fill
from sections.solids.least_place import follow_least
from sections.solids.placing import placing
from sections.solids.trimming import trimmed
from sections.solids.winding import WindingNumbers
from sections.solids.write_stl import stl_bytes


def mesh_of(made):
    return Mesh(np.array(made.vertices, float), np.array(made.faces, np.int64))


BALL = mesh_of(trimesh.creation.icosphere(subdivisions=3, radius=20.0))


def test_winding_numbers():
    """1 inside, 0 outside; 2 where a closed mesh goes round twice, -1 where it looks inward."""
    points = np.array([[0.0, 0, 0], [15, 0, 0], [25, 0, 0]])
    assert WindingNumbers(BALL).at(points) == pytest.approx([1, 1, 0], abs=0.02)
    twice = Mesh(BALL.vertices, np.vstack([BALL.faces, BALL.faces]))
    assert WindingNumbers(twice).at(points) == pytest.approx([2, 2, 0], abs=0.04)
    assert WindingNumbers(Mesh(BALL.vertices, BALL.faces[:, ::-1])).at(points) == pytest.approx([-1, -1, 0], abs=0.02)


def test_a_frame_of_the_kernel():
    """The kernel moves a point as the frame does."""
    frame = Frame((10.0, 20.0, 30.0), (0.0, 0.6, 0.8), (1.0, 0.0, 0.0), (0.0, 0.8, -0.6))
    moved = cq.Vertex.makeVertex(1.0, 2.0, 3.0).moved(cq.Location(placing(frame)))
    assert moved.toTuple() == pytest.approx(frame.to_world(np.array([[1.0, 2.0, 3.0]]))[0])


def test_a_ball_cut_at_a_plane():
    """A zone of a sphere has the area 2 pi r h (Archimedes): above z = 12 that is 2 pi 20 x 8; the facets lose 1 %."""
    cap = trimmed(BALL, Plane((0.0, 0.0, 1.0), 12.0))
    assert cap.vertices[:, 2].min() == pytest.approx(12.0)
    assert cap.areas_mm2.sum() == pytest.approx(2 * np.pi * 20 * 8, rel=0.012)


def test_an_outline_with_a_hole_is_filled():
    """A square of 10 less one of 4: 84 mm2, by as many triangles as corners and holes ask for (n + 2 h - 2 = 8)."""
    outer = np.array([[0, 0], [10, 0], [10, 10], [0, 10]], float)
    hole = np.array([[3, 3], [3, 7], [7, 7], [7, 3]], float)
    faces = fill([outer, hole])
    corners = np.vstack([outer, hole])[faces]
    (ax, ay), (bx, by) = (corners[:, 1] - corners[:, 0]).T, (corners[:, 2] - corners[:, 0]).T
    area = (ax * by - ay * bx) / 2
    assert len(faces) == 8 and (area > 0).all() and area.sum() == pytest.approx(84.0)


def test_turns_are_even():
    """Unit quaternions, in which no turn is preferred: of each squared part the mean is a quarter."""
    turns = even_turns(2000)
    assert np.linalg.norm(turns, axis=1) == pytest.approx(np.ones(2000))
    assert (turns**2).mean(0) == pytest.approx([0.25] * 4, abs=0.01)


def test_binary_stl():
    """84 + 50 n bytes, the count at 80, corners as 32-bit floats (the format as first published in 1989, from memory);
    another library reads the same mesh."""
    content = stl_bytes(BALL)
    assert len(content) == 84 + 50 * len(BALL)
    assert struct.unpack("<I", content[80:84]) == (len(BALL),)
    assert struct.unpack("<3f", content[96:108]) == pytest.approx(tuple(BALL.triangles[0, 0]), rel=1e-6)
    read = trimesh.load(trimesh.util.wrap_as_stream(content), file_type="stl")
    assert read.volume == pytest.approx(BALL.volume_mm3, rel=1e-6)


@pytest.mark.parametrize("rough", [0.0, 3.0], ids=["a face near each is right", "a face near each is wrong"])
def test_the_furthest_of_points(rough):
    """The largest distance, and which are beyond a limit: as all of them measured give it."""
    rng = np.random.default_rng(6)
    faces = rng.integers(0, len(BALL), 3000)
    points = BALL.triangles[faces].mean(1) * (1 + rng.random((3000, 1)) * 0.05) + rough * rng.random((3000, 3))
    surface = MeshDistance(BALL)
    off = surface.unsigned(points)
    assert surface.largest(points, faces) == off.max()
    assert np.array_equal(surface.are_beyond(points, faces, 0.6), off > 0.6)


def test_normals_at_corners():
    """Of a ball they point away from its middle; at a corner whose faces have no area there is none, and no NaN."""
    normals = corner_normals(BALL)
    assert np.einsum("ij,ij->i", normals, BALL.vertices / 20.0).min() > 0.999
    folded = Mesh(
        np.vstack([BALL.vertices, np.full((3, 3), 30.0)]), np.vstack([BALL.faces, np.arange(3) + len(BALL.vertices)])
    )
    assert np.array_equal(corner_normals(folded)[-3:], np.zeros((3, 3)))


def test_least_is_followed_to_where_it_is():
    """Of a ball, the place nearest to a point outside lies on the line to its middle."""
    surface, away = MeshDistance(BALL), np.array([30.0, 0.0, 40.0])

    def gap(places):
        return np.linalg.norm(places - away, axis=1)

    samples = BALL.vertices[::40]
    place, least = follow_least(surface, samples, gap(samples), gap, 1)
    assert gap(samples).min() > 31.0 and least == pytest.approx(30.0, abs=0.15)
    assert place == pytest.approx([12.0, 0.0, 16.0], abs=1.0)
