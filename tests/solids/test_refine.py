"""Triangles are split until they keep a surface given in closed form."""

import numpy as np

from sections.numbers.mesh import Mesh
from sections.solids.distance import MeshDistance
from sections.solids.refine import SurfaceTriangles, refine

# mm
LENGTH, HEIGHT, LIMIT = 60.0, 1.0, 0.05
NARROW = 0.5


def ridge(surface: np.ndarray, uv: np.ndarray) -> np.ndarray:
    """Return points (n, 3) of one whole wave along x, that dies away within NARROW of y = 0."""
    x, y = uv.T
    return np.column_stack([x, y, HEIGHT * np.sin(2 * np.pi * x / LENGTH) * np.maximum(1 - np.abs(y) / NARROW, 0.0)])


def test_an_edge_that_is_right_in_its_middle_alone_is_split():
    """A wave's own zeros are both ends and the middle of the edge along it; no place inside a triangle shows it."""
    uv = np.array([[x, y] for y in (-30.0, 0.0, 30.0) for x in (0.0, LENGTH)])
    faces = np.array([[0, 1, 3], [0, 3, 2], [2, 3, 5], [2, 5, 4]])
    start = SurfaceTriangles(ridge(None, uv), faces, uv[faces], np.zeros(4, int), np.zeros((4, 3, 2), bool))
    asked = np.column_stack([np.linspace(0, LENGTH, 601), np.zeros(601)])
    truth = ridge(None, asked)
    assert MeshDistance(Mesh(start.points, start.faces)).unsigned(truth).max() > 0.9 * HEIGHT
    made = refine(start, LIMIT, ridge, np.zeros(1, bool))
    assert MeshDistance(Mesh(made.points, made.faces)).unsigned(truth).max() <= LIMIT
