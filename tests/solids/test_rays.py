"""Rays against libigl's, against closed forms, and from places right at a face of a body far from its origin."""

import igl
import numpy as np
import pytest
import trimesh

from sections.numbers.mesh import Mesh
from sections.solids.distance import MeshDistance
from sections.solids.rays import MeshRays


def ball(radius, at=(0.0, 0.0, 0.0), halved=4):
    made = trimesh.creation.icosphere(halved, radius)
    return Mesh(np.asarray(made.vertices) + at, np.asarray(made.faces))


def random_rays(mesh, count, seed):
    rng = np.random.default_rng(seed)
    low, high = mesh.bounds
    origins = rng.uniform(low - 0.2 * mesh.size, high + 0.2 * mesh.size, (count, 3))
    ways = rng.normal(size=(count, 3))
    return origins, ways / np.linalg.norm(ways, axis=1, keepdims=True)


@pytest.mark.parametrize("at", [(0.0, 0.0, 0.0), (4000.0, -900.0, 1300.0)])
def test_as_libigl_finds_them(at):
    """Double precision finds the same face, or its neighbour where a ray meets an edge, at the same distance."""
    mesh = ball(300.0, at)
    origins, ways = random_rays(mesh, 4000, 11)
    tree = igl.AABB()
    tree.init(mesh.vertices, mesh.faces)
    expected, far, _ = tree.intersect_ray_first(mesh.vertices, mesh.faces, origins, ways, np.inf)
    face, along = MeshRays(mesh).first_hit(origins, ways)
    assert 1000 < (expected >= 0).sum() < 3900
    assert ((face >= 0) == (expected >= 0)).all()
    hit = face >= 0
    assert (face == expected)[hit].mean() > 0.999
    # libigl keeps distances in single precision.
    assert along[hit] == pytest.approx(far.reshape(-1)[hit], abs=1e-3)
    same = np.flatnonzero(hit & (face == expected))
    corner, one, two = mesh.triangles[face[same]].swapaxes(0, 1)
    sides = np.stack([one - corner, two - corner, -ways[same]], axis=2)
    exact = np.linalg.solve(sides, (origins[same] - corner)[:, :, None])[:, 2, 0]
    assert np.quantile(np.abs(along[same] - exact), 0.99) < 1e-9


@pytest.mark.parametrize("into", [1e-3, 1e-2])
def test_from_right_below_a_face(into):
    """A block 5000 x 1800 x 1200, far from the origin: from a hair below each face, the face opposite is met, its
    distance away; from a hair above none is."""
    size, middle = np.array([5000.0, 1800.0, 1200.0]), np.array([2500.0, 0.0, 900.0])
    made = trimesh.creation.box(size).subdivide().subdivide()
    mesh = Mesh(np.asarray(made.vertices) + middle, np.asarray(made.faces))
    rng = np.random.default_rng(3)
    for axis in range(3):
        for sign in (-1.0, 1.0):
            points = middle + rng.uniform(-0.49, 0.49, (2000, 3)) * size
            outward = np.zeros(3)
            outward[axis] = sign
            points[:, axis] = middle[axis] + sign * size[axis] / 2
            ways = np.broadcast_to(-outward, points.shape)
            face, along = MeshRays(mesh).first_hit(points - into * outward, ways)
            assert (face >= 0).all() and along == pytest.approx(np.full(2000, size[axis] - into), abs=1e-6)
            assert (MeshRays(mesh).first_hit(points + into * outward, -ways)[0] == -1).all()


def test_no_further_than_asked():
    """A ball of 100: from its middle nothing is met within 99, all within 101."""
    surface = MeshDistance(ball(100.0))
    _, ways = random_rays(surface.mesh, 500, 5)
    start = np.zeros_like(ways)
    assert surface.is_clear(start, ways, 99.0).all()
    assert not surface.is_clear(start, ways, 101.0).any()
    # An own length each.
    length = np.where(np.arange(500) % 2, 99.0, 101.0)
    assert (surface.is_clear(start, ways, length) == (np.arange(500) % 2 == 1)).all()


def test_no_rays_at_all():
    """None asked, none given."""
    face, along = MeshDistance(ball(10.0, halved=1)).first_hit(np.empty((0, 3)), np.empty((0, 3)))
    assert not len(face) and not len(along)


def test_along_a_face():
    """Down the side of a wall 4 thick and 100 wide, from its edge, right in the side's plane: 4 are met, as beside it;
    not the side itself, whose triangles begin anywhere along the ray."""
    made = trimesh.creation.box((100.0, 60.0, 4.0)).subdivide().subdivide()
    turn = trimesh.transformations.rotation_matrix(0.7, (1, 2, 3))[:3, :3]
    middle = np.array([2600.0, -130.0, 800.0])
    surface = MeshDistance(Mesh(np.asarray(made.vertices) @ turn.T + middle, np.asarray(made.faces)))
    along = np.linspace(-29.0, 29.0, 400)
    for x in (-50.0, 50.0):
        starts = np.column_stack([np.full(400, x), along, np.full(400, 2.0 - 0.01)]) @ turn.T + middle
        ways = np.broadcast_to(turn @ [0.0, 0.0, -1.0], starts.shape)
        _, length = surface.first_hit(starts, ways)
        assert length == pytest.approx(np.full(400, 3.99), abs=1e-3)
