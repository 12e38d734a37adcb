"""A height field against closed forms: a plane, a sphere, and straight running on where there are no points."""

import numpy as np
import pytest

from sections.numbers.frame import frame_on
from sections.numbers.height_field import fit_height_field

BOX = np.array([[-60.0, -60.0], [60.0, 60.0]])
LEVEL = frame_on(np.zeros(3), np.array([0.0, 0.0, 1.0]))


def grid(reach):
    u, v = np.meshgrid(np.linspace(-reach, reach, 81), np.linspace(-reach, reach, 81))
    return np.column_stack([u.ravel(), v.ravel()])


def test_plane():
    """z = 0.3 x - 0.2 y is met to 1e-3, and carried on straight over the 20 mm without points."""
    flat = grid(40)
    field = fit_height_field(np.column_stack([flat, flat @ [0.3, -0.2]]), LEVEL, BOX, 20.0)
    beyond = grid(58)
    assert np.abs(field.above(np.column_stack([beyond, beyond @ [0.3, -0.2]]))).max() < 1e-3


@pytest.mark.parametrize("step, off", [(20.0, 0.02), (10.0, 0.002)])
def test_sphere(step, off):
    """A cap of a sphere of 300, by its closed form."""
    flat = grid(55)
    points = np.column_stack([flat, np.sqrt(300.0**2 - (flat**2).sum(1)) - 300])
    field = fit_height_field(points, LEVEL, BOX, step)
    inner = (np.abs(flat) < 50).all(1)
    assert np.abs(field.above(points[inner])).max() < off


def test_poles_carry_the_surface():
    """The control points' surface, evaluated by another library (OCC), is the field: heights zero on it."""
    from OCP.BRepAdaptor import BRepAdaptor_Surface

    from sections.solids.spline_face import spline_face

    flat = grid(55)
    frame = frame_on(np.array([10.0, -20.0, 5.0]), np.array([0.3, 0.2, 0.9]))
    points = frame.to_world(np.column_stack([flat, 8 * np.cos(flat[:, 0] / 30) * np.sin(flat[:, 1] / 40)]))
    field = fit_height_field(points, frame, BOX, 12.0)
    surface = BRepAdaptor_Surface(spline_face(field))
    us = np.linspace(surface.FirstUParameter(), surface.LastUParameter(), 23)
    vs = np.linspace(surface.FirstVParameter(), surface.LastVParameter(), 19)
    on = np.array([surface.Value(float(u), float(v)).Coord() for u in us for v in vs])
    assert np.abs(field.above(on)).max() < 1e-9
    assert np.abs(field.above(on + 3 * np.array(frame.z)) - 3).max() < 1e-9
