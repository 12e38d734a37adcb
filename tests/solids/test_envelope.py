"""The outer envelope: volumes in closed form and by another library's boolean operations."""

import math

import numpy as np
import pytest
import trimesh

from sections.numbers.mesh import Mesh, join, weld_exact
from sections.solids.envelope import outer_envelope
from sections.solids.soundness import solid_flaws


def moved(made, at=(0, 0, 0)):
    return Mesh(made.vertices + np.array(at, float), made.faces)


def ball(radius, at=(0, 0, 0), subdivisions=4):
    return moved(trimesh.creation.icosphere(subdivisions, radius), at)


def test_two_balls():
    """Less the lens they share: pi (4 r + d) (2 r - d)^2 / 12 (two balls of radius r, d apart; closed form)."""
    made = outer_envelope(join([ball(100), ball(100, (120, 3, 1))])).mesh
    apart = math.dist((0, 0, 0), (120, 3, 1))
    lens = math.pi * (400 + apart) * (200 - apart) ** 2 / 12
    assert not solid_flaws(made, 0.001)
    # 5120 faces are 0.216 per cent short of a ball (measured by trimesh, twice over here).
    assert made.volume_mm3 == pytest.approx(2 * 4 / 3 * math.pi * 1e6 - lens, rel=0.004)


def test_twelve_bodies_as_another_library_unites_them():
    """Boxes, balls and rods at random: volume and area as manifold3d's union has them, through trimesh."""
    rng = np.random.default_rng(8)
    parts = []
    for n in range(12):
        kinds = (
            trimesh.creation.box(rng.uniform(30, 90, 3)),
            trimesh.creation.icosphere(2, rng.uniform(20, 45)),
            trimesh.creation.cylinder(rng.uniform(8, 20), rng.uniform(60, 160), sections=20),
        )
        part = kinds[n % 3]
        part.apply_transform(trimesh.transformations.random_rotation_matrix(rng.random(3)))
        part.apply_translation(rng.uniform(-60, 60, 3))
        parts.append(part)
    wanted = trimesh.boolean.union(parts, engine="manifold")
    made = outer_envelope(join([moved(part) for part in parts])).mesh
    assert made.volume_mm3 == pytest.approx(wanted.volume, rel=1e-6)
    assert made.areas_mm2.sum() == pytest.approx(wanted.area, rel=1e-6)
    assert not solid_flaws(made, 0.001)


def test_bodies_inside_one_another():
    """A ball within a ball goes, turned outward or inward."""
    inner = ball(40, subdivisions=2)
    for turned in (inner, Mesh(inner.vertices, inner.faces[:, ::-1])):
        made = outer_envelope(join([ball(100), turned]))
        assert len(made.mesh) == len(ball(100)) and made.born.max() < len(ball(100))


def test_nothing_is_moved_or_cut_that_stands_alone():
    mesh = ball(100)
    made = outer_envelope(mesh)
    assert sorted(map(tuple, made.mesh.vertices)) == sorted(map(tuple, mesh.vertices))
    assert made.mesh.volume_mm3 == pytest.approx(mesh.volume_mm3, rel=1e-12)


def test_one_surface_that_passes_through_itself():
    """A block whose lid is pushed down through its floor: what is turned inside out hangs below, a body of its own that
    looks inward, and is left out; what stays is the block up to where the two cross."""
    made = trimesh.creation.box((100, 100, 100))
    for _ in range(3):
        made = made.subdivide()
    vertices = made.vertices.copy()
    middle = (np.abs(vertices[:, :2]) < 26).all(1) & (vertices[:, 2] > 49)
    vertices[middle, 2] -= 120
    envelope = outer_envelope(weld_exact(Mesh(vertices, made.faces)))
    assert not solid_flaws(envelope.mesh, 0.001)
    assert envelope.mesh.bounds[0, 2] == pytest.approx(-50) and envelope.mesh.volume_mm3 > 0


def test_holes_do_not_confuse_it():
    """Two balls that overlap, each with two hundredths of its faces missing: what is left is outer skin, whole."""
    rng = np.random.default_rng(3)
    parts = []
    for part in (ball(100), ball(100, (120, 3, 1))):
        parts.append(part.submesh(np.sort(rng.choice(len(part), int(0.98 * len(part)), replace=False))))
    made = outer_envelope(join(parts)).mesh
    centres = made.triangles.mean(1)
    outside = np.minimum(np.linalg.norm(centres, axis=1), np.linalg.norm(centres - [120, 3, 1], axis=1))
    # A face's middle lies below the ball by no more than the sagitta of its edges, 7 mm long: 0.1 mm.
    assert outside.min() > 99.7
    apart = math.dist((0, 0, 0), (120, 3, 1))
    caps = 2 * 2 * math.pi * 100 * (100 - apart / 2)
    assert made.areas_mm2.sum() == pytest.approx(0.98 * (2 * 4 * math.pi * 1e4 - caps), rel=0.02)


@pytest.mark.parametrize("by", [1e-8, 1e-6])
def test_corners_parted_by_rounding(by):
    """A ball and a box that overlap, each triangle with corners of its own, mm off the others' at random, as in a file
    that holds each number rounded: united as they are where corners are shared, by manifold3d's union through
    trimesh."""
    parts = [trimesh.creation.icosphere(3, 100), trimesh.creation.box((150, 90, 90)).subdivide().subdivide()]
    wanted = trimesh.boolean.union(parts, engine="manifold")
    corners = join([moved(part) for part in parts]).triangles.reshape(-1, 3)
    corners = corners + np.random.default_rng(5).uniform(-by, by, corners.shape)
    loose = weld_exact(Mesh(corners, np.arange(len(corners)).reshape(-1, 3)))
    made = outer_envelope(loose)
    assert not solid_flaws(made.mesh, 0.001) and made.born.max() < len(loose)
    assert made.mesh.volume_mm3 == pytest.approx(wanted.volume, rel=1e-7)
