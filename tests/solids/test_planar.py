"""Faces on a plane against the areas of what was drawn."""

import numpy as np
import pytest
import shapely

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
