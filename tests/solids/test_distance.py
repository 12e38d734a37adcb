"""Rays against closed forms, right along edges too."""

import numpy as np
import pytest
import trimesh

from sections.numbers.mesh import Mesh
from sections.solids.distance import MeshDistance


@pytest.mark.parametrize("seed", range(4))
def test_no_ray_slips_through_an_edge(seed):
    """A box of many triangles, turned: rays from its middle at corners and along edges of the far side all hit it at
    half its height over the cosine."""
    made = trimesh.creation.box((100, 80, 60)).subdivide().subdivide().subdivide()
    turn = trimesh.transformations.random_rotation_matrix(np.random.default_rng(seed).random(3))[:3, :3]
    surface = MeshDistance(Mesh(np.asarray(made.vertices) @ turn.T, np.asarray(made.faces)))
    x, y = np.meshgrid(np.linspace(-43.75, 43.75, 113), np.linspace(-35, 35, 97))
    targets = np.column_stack([x.ravel(), y.ravel(), np.full(x.size, 30.0)])
    length = np.linalg.norm(targets, axis=1)
    face, along = surface.first_hit(np.zeros_like(targets), targets @ turn.T / length[:, None])
    assert (face >= 0).all() and along == pytest.approx(length, rel=1e-6)
