"""What a section would need in support, against closed forms and against the layers of a wall made of it."""

import math

import numpy as np
import pytest
import trimesh

from sections.numbers.mesh import Mesh
from sections.seaming.hanging import hanging, hangs
from sections.seaming.shell import Depths, Shell
from sections.solids.layers import layered
from sections.solids.print_solid import PrintSolid

DEPTHS = Depths(4.0, 24.0, 0.0)


def shell_of(vertices, faces):
    made = trimesh.Trimesh(vertices, faces, process=False)
    return Shell.of(
        Mesh(np.asarray(made.vertices, float), np.asarray(made.faces)), np.array(made.vertex_normals), DEPTHS
    )


def plate(along, across):
    """A plate between two edges from the origin, in triangles of about 10 mm."""
    made = trimesh.Trimesh([np.zeros(3), along, np.add(along, across), across], [[0, 1, 2], [0, 2, 3]])
    made = made.subdivide_to_size(10.0)
    return made.vertices, made.faces


@pytest.mark.parametrize("turn", [0.0, 20.0, 45.0])
def test_a_plate_stands_on_its_edge(turn):
    """However it is turned: one of its own directions is upright."""
    c, s = math.cos(math.radians(turn)), math.sin(math.radians(turn))
    assert hanging([shell_of(*plate([200 * c, 0, 200 * s], [0, 100, 0]))]) == pytest.approx(0, abs=1)


def test_a_corner_of_three_plates():
    """Three squares of 100 x 100 at right angles: whichever axis is up, one of them is level."""
    corner = [shell_of(*plate(100 * a, 100 * b)) for a, b in ((np.eye(3)[i], np.eye(3)[i - 1]) for i in range(3))]
    assert hanging(corner) == pytest.approx(10_000, rel=1e-6)


def test_half_a_ball():
    """Rings of half a ball of radius R whose normals rise by p: the integral of 2 pi R^2 cos p (sin p - tan 46 cos p)
    from 46 deg to 90, by Simpson's rule; upright along its own axis, and more along none."""
    ball = trimesh.creation.icosphere(5, 100.0)
    half = ball.slice_plane([0, 0, 0], [0, 0, 1])
    p = np.linspace(math.radians(46), math.pi / 2, 2001)
    rings = 2 * math.pi * 100**2 * np.cos(p) * (np.sin(p) - math.tan(math.radians(46)) * np.cos(p))
    weights = np.ones(2001)
    weights[1:-1:2], weights[2:-1:2] = 4, 2
    assert hanging([shell_of(half.vertices, half.faces)]) == pytest.approx(
        float(rings @ weights) * (p[1] - p[0]) / 3, rel=0.02
    )


@pytest.mark.parametrize("lean", [40.0, 55.0, 70.0])
def test_as_layers_have_it(lean):
    """A leaning slab 4 mm thick upright: by its layers, and as a thin wall by hand."""
    t = math.radians(lean)
    run, rise = 120 * math.sin(t), 120 * math.cos(t)
    corners = [(f * run, y, f * rise + d) for f in (0, 1) for y in (0, 80) for d in (0, 4.0)]
    made = layered(PrintSolid.hull(np.array(corners, float)), 0.0)
    wanted = max(120 * 80 * (math.sin(t) - math.tan(math.radians(46)) * math.cos(t)), 0)
    (found,) = hangs(shell_of(*plate([run, 0, rise], [0, 80, 0])).area_vectors, np.eye(3)[2:])
    assert found == pytest.approx(wanted, rel=1e-6, abs=1e-6)
    assert made.unsupported == pytest.approx(wanted, rel=0.1, abs=1)


def test_a_piece_without_area_needs_none():
    """Cuts leave slivers, three corners in a line: they look nowhere."""
    sliver = Mesh(np.array([[0.0, 0, 0], [10, 0, 0], [20, 0, 0]]), np.array([[0, 1, 2]]))
    assert hanging([Shell.of(sliver, np.tile([0.0, 0.0, 1.0], (3, 1)), DEPTHS)]) == 0.0
