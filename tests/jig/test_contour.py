"""Shadows and what is lifted, in closed form."""

import math

import numpy as np
import pytest
import shapely
import trimesh
from shapely import MultiPolygon, Point

from sections.jig.contour import Contour, lifted, shadow
from sections.jig.stations import ACROSS
from sections.numbers.frame import make_frame
from sections.numbers.mesh import Mesh
from sections.solids.print_solid import PrintSolid


@pytest.mark.parametrize("x", [-240.0, -100.0, 0.0, 3.0, 150.0])
def test_a_ball_in_a_sheet(x):
    """A slab 12 thick about x of a ball of radius 300 casts a disc as large as its largest section."""
    ball = trimesh.creation.icosphere(5, 300.0)
    solid = PrintSolid.of(Mesh(np.asarray(ball.vertices), np.asarray(ball.faces)))
    frame = make_frame(np.array([x, 0.0, 0.0]), ACROSS)
    shape = shadow(solid, frame, 12.0)
    radius = math.sqrt(300.0**2 - max(0.0, abs(x) - 6.0) ** 2)
    assert shape.area == pytest.approx(math.pi * radius**2, rel=0.003)
    contour = Contour.of(frame, shape)
    assert np.linalg.norm(contour.points, axis=1) == pytest.approx(radius, abs=0.5)
    out = contour.points / np.linalg.norm(contour.points, axis=1, keepdims=True)
    assert (contour.normals * out).sum(1).min() > 0.99
    assert contour.world[:, 0] == pytest.approx(x) and contour.world[:, 1:] == pytest.approx(contour.points)


@pytest.mark.parametrize("height", [0.0, 50.0, 900.0])
def test_a_disc_lifted(height):
    """A stadium: pi r^2 + 2 r h."""
    disc = Point(0, 0).buffer(100, quad_segs=128)
    assert lifted(MultiPolygon([disc]), height).area == pytest.approx(math.pi * 100**2 + 200 * height, rel=1e-3)


def test_a_hook_lifted():
    """What lies under an overhang is passed through too."""
    hook = shapely.Polygon([(0, 0), (10, 0), (10, 90), (60, 90), (60, 100), (0, 100)])
    assert lifted(MultiPolygon([hook]), 200.0).bounds == (0, 0, 60, 300)
    assert lifted(MultiPolygon([hook]), 200.0).area == pytest.approx(10 * 90 + 60 * 210)
