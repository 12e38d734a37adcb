"""Inner faces against closed forms: offsets of a box, of a wedge and of a ball, flanges with their backs."""

import math

import numpy as np
import pytest
import shapely
import trimesh

from sections.numbers.frame import Plane
from sections.numbers.mesh import Mesh
from sections.solids.crossing import crossing_faces
from sections.solids.distance import MeshDistance
from sections.solids.print_solid import PrintSolid
from sections.wall import offset_surface
from sections.wall.carve import carve, grown_body, left_over
from sections.wall.depth import DepthRule, even_depth

PITCH = 5.0


def body(shape):
    """Return (the solid, distance to its skin)."""
    mesh = Mesh(np.array(shape.vertices, float), np.array(shape.faces, np.int64))
    return PrintSolid.of(mesh, "body"), MeshDistance(mesh)


def turned(shape):
    """Turned, so that no face of it is square to the lattice."""
    shape.apply_transform(trimesh.transformations.euler_matrix(0.31, 0.52, 0.73))
    return shape


@pytest.mark.parametrize("wall", [3.0, 7.3])
def test_box(wall):
    """The hollow of a box is a box: its corners, its volume, its edges sharp all along. Closed form."""
    size = np.array([83.0, 61.0, 47.0])
    block, skin = body(turned(trimesh.creation.box(size)))
    hollow = carve(block, skin, even_depth(wall), PITCH, []).hollow
    assert hollow.volume_mm3 == pytest.approx(np.prod(size - 2 * wall), rel=1e-4)
    turn = trimesh.transformations.euler_matrix(0.31, 0.52, 0.73)[:3, :3]
    off = np.abs(hollow.vertices @ turn) - (size / 2 - wall)
    assert np.abs(off.max(1)).max() < 0.25
    # Every one of the twelve edges, in full: points on them lie on the hollow.
    ends = np.array([[(a, b, c) for a in (-1, 1) for b in (-1, 1)] for c in np.linspace(-1, 1, 41)]).reshape(-1, 3)
    edges = np.vstack([np.roll(ends, turns, axis=1) for turns in range(3)]) * (size / 2 - wall)
    assert MeshDistance(hollow).unsigned(edges @ turn.T).max() < 0.35
    assert np.quantile(MeshDistance(hollow).unsigned(edges @ turn.T), 0.9) < 0.01


@pytest.mark.parametrize("angle", [50.0, 70.0, 120.0])
def test_wedge(angle):
    """Between two faces at an angle the inner edge lies wall / sin(angle / 2) below theirs. Closed form."""
    wall, half = 4.0, math.radians(angle) / 2
    reach = np.array([math.cos(half), math.sin(half)]) * 70
    outline = np.array([[0, 0], reach, reach * [1, -1]])
    shape = trimesh.creation.extrude_polygon(shapely.Polygon(outline), 90.0)
    block, skin = body(shape)
    hollow = carve(block, skin, even_depth(wall), PITCH, []).hollow
    edge = np.column_stack([np.full(30, wall / math.sin(half)), np.zeros(30), np.linspace(wall, 90 - wall, 30)])
    assert MeshDistance(hollow).unsigned(edge).max() < 0.03
    assert hollow.vertices[:, 0].min() == pytest.approx(wall / math.sin(half), abs=0.03)


def test_ball():
    """Round faces stay round: a ball's hollow is a ball, within what its facets leave."""
    block, skin = body(trimesh.creation.icosphere(5, 60.0))
    hollow = carve(block, skin, even_depth(6.0), PITCH, []).hollow
    radii = np.linalg.norm(hollow.triangles.mean(1), axis=1)
    assert abs(radii - 54.0).max() < 0.1


def test_flange():
    """A long box cut by a seam: a flange's inner edge, and the edge its back ends in, in full. Closed form."""
    block, skin = body(trimesh.creation.box((240.0, 90.0, 80.0)))
    wall, height, thickness, slope = 4.0, 20.0, 6.0, math.tan(math.radians(50.0))
    rule = DepthRule(wall, height, thickness, 50.0, (Plane((1.0, 0.0, 0.0), 0.0),))
    cell = block.cut([PrintSolid.box([-130, -50, -50], [0, 50, 50])])
    hollow = carve(cell, skin, rule, PITCH, []).hollow
    run = (height - wall) * slope
    space = MeshDistance(hollow)
    for x, depth in ((thickness, height), (thickness + run, wall)):
        y, z = 45 - depth, 40 - depth
        across = np.linspace(-1, 1, 41)
        for side in (-1, 1):
            level = np.column_stack([np.full(41, x), across * y, np.full(41, side * z)])
            upright = np.column_stack([np.full(41, x), np.full(41, side * y), across * z])
            assert space.unsigned(np.vstack([level, upright])).max() < 0.03, (x, depth)
    # Of the space beyond the flange: a part that widens as the back falls (prismoid), and the rest.
    narrow, wide = (90 - 2 * height) * (80 - 2 * height), (90 - 2 * wall) * (80 - 2 * wall)
    mean = (90 - height - wall) * (80 - height - wall)
    inside = run / 6 * (narrow + 4 * mean + wide) + (120 - wall - thickness - run) * wide
    kept = PrintSolid.of(hollow, "hollow").cut([PrintSolid.box([-50, -50, -50], [thickness, 50, 50])])
    assert kept.volume_mm3 == pytest.approx(inside, rel=1e-4)


@pytest.mark.parametrize(
    ("wall", "angles"), [(4.0, (0.0, 0.0, 0.0)), (9.3, (0.0, 0.0, 0.0)), (4.0, (0.31, 0.52, 0.73))]
)
def test_rim_of_a_drum(monkeypatch, wall, angles):
    """The hollow of a drum of 180 flat sides is one, too, its inner circle smaller by the wall: the largest distance of
    a place outside the planes of its sides and ends, closed form. Its bent edges are within 0.1 of there, and 0.01 for
    what is simplified, and so are their middles; where it stands upright on one lattice, none made finer."""
    if not any(angles):
        monkeypatch.setattr(offset_surface, "_FINER", 0)
    turn = trimesh.transformations.euler_matrix(*angles)
    block, skin = body(trimesh.creation.cylinder(80.0, 200.0, sections=180, transform=turn))
    hollow = carve(block, skin, even_depth(wall), PITCH, []).hollow
    angle = np.radians(2.0 * np.arange(180) + 1.0)
    sides, inner = np.stack([np.cos(angle), np.sin(angle)]), 80 * np.cos(np.radians(1.0)) - wall
    places = hollow.triangles @ turn[:3, :3]
    places = np.vstack([places.reshape(-1, 3), ((places + np.roll(places, 1, axis=1)) / 2).reshape(-1, 3)])
    beyond = np.maximum((places[:, :2] @ sides).max(1) - inner, np.abs(places[:, 2]) - (100 - wall))
    assert np.abs(beyond).max() < 0.11
    assert hollow.volume_mm3 == pytest.approx(180 * np.tan(np.radians(1.0)) * inner**2 * (200 - 2 * wall), rel=1e-3)


def test_grown_outside_corner_is_round():
    """A body grown all round has round edges: nothing is moved to where planes would meet."""
    block, skin = body(trimesh.creation.box((60.0, 50.0, 40.0)))
    grown = grown_body(PrintSolid.box([-40, -40, -40], [40, 40, 40]), skin, 6.0, PITCH).mesh()
    corner = grown.vertices[np.abs(grown.vertices).min(1) > 0]
    far = np.abs(corner) - [30, 25, 20]
    reach = np.linalg.norm(np.maximum(far, 0), axis=1)
    assert reach.max() < 6.05


def test_no_face_through_another():
    block, skin = body(turned(trimesh.creation.box((60.0, 12.0, 40.0))))
    for wall in (2.0, 5.4, 5.9):
        carved = carve(block, skin, even_depth(wall), PITCH, [])
        assert all(len(crossing_faces(mesh, 0.01)) == 0 for mesh in carved.pieces)


def test_a_lump_is_no_flange():
    """A box with a flange along its seam and a block left in the hollow 30 mm off it: the block is reported, a little
    larger than it is, and the flange is not."""
    block, _ = body(trimesh.creation.box((100.0, 100.0, 80.0)).apply_translation([0, 0, 40]))
    deep = PrintSolid.box(np.array([-46.0, -46.0, -1.0]), np.array([46.0, 46.0, 76.0]))
    flange = PrintSolid.box(np.array([-50.0, -50.0, 0.0]), np.array([-20.0, 50.0, 6.0]))
    lump = PrintSolid.box(np.array([10.0, 10.0, 36.0]), np.array([20.0, 20.0, 46.0]))
    found = left_over(block, deep, deep.cut([flange, lump]), (Plane((0.0, 0.0, 1.0), 0.0),))
    assert len(found) == 1 and 1000.0 < found[0].volume_mm3 < 1400.0
    assert found[0].common(flange).volume_mm3 == 0
