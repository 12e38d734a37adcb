"""Rays and depths against closed forms, right along edges too."""

import cadquery as cq
import numpy as np
import pytest
import shapely
import trimesh
from hypothesis import given, settings
from hypothesis import strategies as st

from sections.numbers.mesh import Mesh, weld_exact
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


@settings(max_examples=40)
@given(st.lists(st.floats(0.3, 1.0), min_size=5, max_size=9), st.integers(0, 10**6))
def test_depth_in_a_prism(radii, seed):
    """A tall prism over a star of random corners, pointed and hollow ones: at half its height as deep as shapely says
    the point lies within the star; also right off faces, off edges, and a hair from both."""
    turns = np.linspace(0, 2 * np.pi, len(radii), endpoint=False)
    star = 100 * np.array(radii)[:, None] * np.column_stack([np.cos(turns), np.sin(turns)])
    outline = shapely.Polygon(star)
    made = trimesh.creation.extrude_polygon(outline, 1000.0)
    surface = MeshDistance(Mesh(np.asarray(made.vertices), np.asarray(made.faces)))
    random = np.random.default_rng(seed)
    start, stop = star, np.roll(star, -1, axis=0)
    along = (stop - start) / np.linalg.norm(stop - start, axis=1, keepdims=True)
    off = np.column_stack([along[:, 1], -along[:, 0]])
    middles = (start + stop) / 2
    places = [random.uniform(-110, 110, (200, 2)), star * 1.01, star * 0.99, star + 1e-4 * off]
    places += [middles + by * off for by in (5.0, -5.0, 1e-3, -1e-3)]
    places = np.vstack(places)
    points = np.column_stack([places, np.full(len(places), 500.0)])
    away = shapely.distance(shapely.points(places), outline.exterior)
    within = shapely.contains_xy(outline, *places.T)
    depth = surface.depth(points)
    assert depth == pytest.approx(np.where(within, away, -away), abs=1e-9)
    assert depth == pytest.approx(surface.nearest_and_depth(points)[0], abs=0)


@settings(max_examples=60)
@given(st.integers(0, 10**6), st.sampled_from([1e-5, 1e-6, 3e-5]))
def test_depth_below_a_needle(seed, off):
    """A cube of 10 with a face some 1e-5 wide along the diagonal of its top, turned as rounding turns it, and that face
    parted in two: right above and below it points are as deep as the cube says."""
    random = np.random.default_rng(seed)
    low, high = np.array([[0, 0], [10, 0], [10, 10], [0, 10]]), np.array([[5.0, 5.0, 10.0], [2.0, 2.0, 10.0]])
    amid = high + off * random.uniform(-1, 1, (2, 3))
    vertices = np.vstack([np.column_stack([low, np.full(4, 0)]), np.column_stack([low, np.full(4, 10)]), amid])
    sides = [(a, b, b + 4, a + 4) for a, b in ((0, 1), (1, 2), (2, 3), (3, 0))]
    faces = [(0, 2, 1), (0, 3, 2), *((a, b, c) for a, b, c, _ in sides), *((a, c, d) for a, _, c, d in sides)]
    # The top: 4 5 6, needles 4 6 8 and 4 8 9, and 7 with what bounds them on the other side.
    faces += [(4, 5, 6), (4, 6, 8), (4, 8, 9), (7, 4, 9), (7, 9, 8), (7, 8, 6)]
    made = trimesh.Trimesh(vertices, faces, process=False)
    assert made.is_watertight and made.is_winding_consistent
    surface = MeshDistance(Mesh(vertices.astype(float), np.array(faces)))
    along, beside = random.uniform(0.5, 9.5, 300), random.uniform(-2e-5, 2e-5, 300)
    up = random.uniform(-0.4, 0.4, 300)
    up = np.where(np.abs(up) < 1e-3, 1e-3, up)
    points = np.column_stack([along + beside, along - beside, 10 + up])
    assert surface.depth(points) == pytest.approx(-up, abs=1e-4)
    assert surface.nearest_and_depth(points)[0] == pytest.approx(-up, abs=1e-4)


@pytest.mark.parametrize("off", [1e-6, 1e-5])
def test_about_the_end_of_a_crack(off):
    """A crack that runs out in an edge which one of its sides has in two parts, a face too narrow to have a normal
    between them and the other's: what lies on a circle about its end, short of it and to either side, is as deep as the
    circle is wide."""
    half, wide = 0.01, 30.0
    outline = [(0, 0), (100, 0), (100, 25 - half), (40, 25), (100, 25 + half), (100, 50), (0, 50)]
    corners = np.array([*((x, y, z) for y in (0.0, wide) for x, z in outline), (40 - off, wide / 2, 25.0)])
    cap = np.array([(0, 1, 2), (0, 2, 3), (0, 3, 6), (3, 4, 5), (3, 5, 6)])
    whole = [f for a, b in ((0, 1), (1, 2), (3, 4), (4, 5), (5, 6), (6, 0)) for f in ((a, b + 7, b), (a, a + 7, b + 7))]
    parted = [(2, 14, 3), (2, 9, 14), (9, 10, 14), (3, 14, 10)]
    solid = trimesh.Trimesh(corners, np.vstack([cap, cap[:, ::-1] + 7, whole, parted]), process=False)
    trimesh.repair.fix_normals(solid)
    assert solid.is_watertight and solid.volume == pytest.approx(wide * (100 * 50 - 60 * half), rel=1e-4)
    turn = np.radians(np.linspace(91, 269, 61))
    places = np.column_stack([40 + 8 * np.cos(turn), np.full(61, 14.0), 25 + 8 * np.sin(turn)])
    depth = MeshDistance(Mesh(solid.vertices, solid.faces)).depth(places)
    assert depth == pytest.approx(8.0, abs=1e-3)


def test_long_narrow_faces():
    """A plate with round corners, whose flat faces are fans of long, narrow triangles: nearest places and distances as
    trimesh finds them, and each place on the face that is named."""
    plate = cq.Workplane().box(400, 250, 6).edges("|Z").fillet(60).val()
    corners, faces = plate.tessellate(0.002, 0.02)
    mesh = weld_exact(Mesh(np.array([corner.toTuple() for corner in corners]), np.array(faces)))
    sides = np.linalg.norm(np.roll(mesh.triangles, -1, axis=1) - mesh.triangles, axis=2)
    assert (sides.max(1) > 100 * mesh.widths).sum() > 500
    points = np.random.default_rng(3).uniform((-230, -150, -20), (230, 150, 20), (400, 3))
    distance, face, nearest = MeshDistance(mesh).nearest(points)
    other = trimesh.Trimesh(mesh.vertices, mesh.faces, process=False)
    _, away, _ = trimesh.proximity.closest_point_naive(other, points)
    assert distance == pytest.approx(away, abs=1e-9)
    assert np.linalg.norm(points - nearest, axis=1) == pytest.approx(distance, abs=1e-9)
    assert trimesh.triangles.closest_point(mesh.triangles[face], nearest) == pytest.approx(nearest, abs=1e-9)
