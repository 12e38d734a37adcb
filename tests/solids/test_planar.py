"""Faces on a plane against the areas of what was drawn."""

import numpy as np
import pytest
import shapely
from scipy.spatial import Delaunay

from sections.numbers.frame import Plane
from sections.numbers.mesh import Mesh
from sections.solids.planar import face_on_plane

TOP = Plane((0.0, 0.0, 1.0), 0.0)


@pytest.mark.parametrize("past", [0.0, 1e-4])
def test_ring_whose_outlines_touch(past):
    """A square of 20 with a square hole of 10; a corner of the hole on the rim, or past it by a rounding."""
    outer, inner = (
        np.array([[-1, -1], [1, -1], [1, 1], [-1, 1]]) * 10.0,
        np.array([[-1, -1], [1, -1], [1, 1], [-1, 1]]) * 5.0,
    )
    # The rim has a corner more, beside which the hole's comes to lie.
    outer = np.vstack([outer[:2], [[10.0, 5.0]], outer[2:]])
    inner[2] = (10.0 + past, 5.0 - 2.0)
    corners = np.column_stack([np.vstack([outer, inner]), np.zeros(9)])
    faces = np.array(
        [[0, 1, 6], [0, 6, 5], [1, 2, 7], [1, 7, 6], [2, 3, 7], [3, 4, 8], [3, 8, 7], [4, 0, 5], [4, 5, 8]]
    )
    found = face_on_plane(Mesh(corners, faces), TOP, TOP.frame())
    hole = shapely.Polygon(inner)
    assert found.area == pytest.approx(400 - hole.area, abs=0.01)


@pytest.mark.parametrize("tolerance", [1e-4, 1e-3, 2e-3])
@pytest.mark.parametrize("seed", range(6))
def test_slivers_that_just_miss_the_plane(seed, tolerance):
    """A plate of 200 x 100 in random triangles, slivers at its rim among them, corners up to 2e-3 off the plane: what
    is found is as large as the triangles on it are, by their own areas."""
    random = np.random.default_rng(seed)
    inside = random.uniform((1, 1), (199, 99), (60, 2))
    # Beside the long edges, a thousandth to a hundredth of a mm in.
    rim = np.column_stack([random.uniform(5, 195, 30), np.where(random.random(30) < 0.5, 0.0, 100.0)])
    beside = rim + np.column_stack([np.zeros(30), np.where(rim[:, 1] > 50, -1, 1) * 10 ** random.uniform(-3, -1, 30)])
    flat = np.vstack([inside, rim, beside, [[0, 0], [200, 0], [200, 100], [0, 100]]])
    faces = Delaunay(flat).simplices
    height = np.where(random.random(len(flat)) < 0.3, 10 ** random.uniform(-4, -2.7, len(flat)), 0.0)
    mesh = Mesh(np.column_stack([flat, height]), faces)
    on = (height < tolerance)[faces].all(1)
    found = face_on_plane(mesh, TOP, TOP.frame(), tolerance)
    # Slits up to 2e-3 wide are closed: no more than that along every edge there is.
    along = np.linalg.norm(flat[faces] - flat[np.roll(faces, 1, axis=1)], axis=2).sum()
    assert found.area == pytest.approx(mesh.areas_mm2[on].sum(), abs=2e-3 * along)


@pytest.mark.parametrize("seed", [13, 14, 18, 19])
def test_faces_that_lie_over_one_another(seed):
    """Six triangles whose sides cross, as where a wall is folded in a seam's plane: what they cover is counted on a
    grid of places 0.02 apart."""
    flat = np.random.default_rng(seed).uniform(0, 10, (6, 3, 2))
    mesh = Mesh(np.insert(flat.reshape(-1, 2), 2, 0.0, axis=1), np.arange(18).reshape(-1, 3))
    places = (np.stack(np.meshgrid(*2 * [np.arange(0, 10, 0.02)]), -1) + 0.01).reshape(-1, 1, 1, 2)
    along = np.roll(flat, -1, axis=1) - flat
    left = along[..., 0] * (places - flat)[..., 1] - along[..., 1] * (places - flat)[..., 0]
    covered = ((left > 0).all(2) | (left < 0).all(2)).any(1).sum() * 0.02**2
    assert face_on_plane(mesh, TOP, TOP.frame()).area == pytest.approx(covered, abs=0.1)
