"""How tightly skin bends, against cylinders, balls and planes."""

import numpy as np
import pytest
import trimesh

from sections.numbers.mesh import Mesh
from sections.seaming.curvature import TIGHT, Curvatures


def bends_of(made):
    return Curvatures.of(Mesh(np.asarray(made.vertices), np.asarray(made.faces)), np.asarray(made.vertex_normals))


@pytest.mark.parametrize(("radius", "share"), [(25.0, 1.0), (50.0, 1.0), (100.0, 0.5), (200.0, 0.25), (400.0, 0.125)])
def test_a_ball(radius, share):
    """A great circle counts TIGHT / radius of its length, no more than all of it."""
    made = trimesh.creation.icosphere(5, radius)
    turns = np.linspace(0, 2 * np.pi, 400, endpoint=False)
    circle = radius * np.column_stack([np.cos(turns), np.sin(turns), np.zeros(400)])
    length = 2 * np.pi * radius
    counted = bends_of(made).along(circle, np.full(400, length / 400))
    assert TIGHT == 50.0 and counted / length == pytest.approx(share, abs=0.06)


def test_a_rounded_corner():
    """A wall of two planes and a quarter of a cylinder of radius 30 between: all of a line along the rounding counts,
    nothing of one 60 mm beside it."""
    turns = np.linspace(0, np.pi / 2, 13)
    round_ = 30 * np.column_stack([np.sin(turns), np.cos(turns)])
    outline = np.vstack(
        [[[-i * 8.0, 30.0] for i in range(25, 0, -1)], round_, [[30.0, -i * 8.0] for i in range(1, 26)]]
    )
    levels = np.arange(0.0, 401.0, 8.0)
    vertices = np.array([[x, y, z] for z in levels for x, y in outline])
    n = len(outline)
    starts = np.array([row * n + i for row in range(len(levels) - 1) for i in range(n - 1)])
    faces = np.vstack(
        [np.column_stack([starts, starts + n, starts + 1]), np.column_stack([starts + 1, starts + n, starts + n + 1])]
    )
    bends = bends_of(trimesh.Trimesh(vertices, faces, process=False))
    z = np.linspace(20, 380, 60)
    on = np.column_stack([np.full(60, 30 * np.sqrt(0.5)), np.full(60, 30 * np.sqrt(0.5)), z])
    beside = np.column_stack([np.full(60, -60.0), np.full(60, 30.0), z])
    lengths = np.full(60, 6.0)
    assert bends.along(on, lengths) == pytest.approx(360, rel=0.02)
    assert bends.along(beside, lengths) == pytest.approx(0, abs=1e-6)
