"""Faces turned alike and outward, duplicate faces, and noise smoothed off: against shapes in closed form."""

import numpy as np
import pytest
import trimesh

from sections.numbers.mesh import Mesh, join
from sections.solids.duplicates import without_duplicates
from sections.solids.orienting import turn_alike
from sections.solids.smoothing import smoothed


def ball(radius=100.0, at=(0, 0, 0), subdivisions=4):
    made = trimesh.creation.icosphere(subdivisions, radius)
    return Mesh(made.vertices + np.array(at, float), made.faces)


def spoilt(mesh, share, seed=1):
    """Some of the faces turned round, in clusters and alone."""
    rng = np.random.default_rng(seed)
    faces = mesh.faces.copy()
    chosen = rng.random(len(faces)) < share
    faces[chosen] = faces[chosen][:, ::-1]
    return Mesh(mesh.vertices, faces)


def outward(mesh, at=(0, 0, 0)):
    """Which faces of a ball look away from its centre."""
    return np.einsum("ij,ij->i", mesh.normals, mesh.triangles.mean(1) - np.array(at)) > 0


class TestTurning:
    @pytest.mark.parametrize("share", [0.02, 0.4, 0.7, 1.0])
    def test_a_closed_ball(self, share):
        """By the sign of its volume, however many were turned."""
        made = turn_alike(spoilt(ball(), share))
        assert outward(made.mesh).all() and made.by == ("volume",)
        assert made.turned.sum() == (~outward(spoilt(ball(), share))).sum()

    @pytest.mark.parametrize("share", [0.1, 0.9])
    def test_an_open_ball(self, share):
        """A ball with a lid cut off, at z > 60: it sees more open space outside."""
        mesh = ball()
        mesh = mesh.submesh(mesh.triangles.mean(1)[:, 2] < 60)
        made = turn_alike(spoilt(mesh, share))
        assert outward(made.mesh).all() and made.by == ("sight",)

    @pytest.mark.parametrize("toward", [(0, 0, 1), (0, 0, -1)])
    def test_a_shallow_panel(self, toward):
        """A cap of 15 deg, as a hood is: the builder says which side is out; else it is the one it bulges toward."""
        mesh = ball(500, subdivisions=5)
        mesh = mesh.submesh(mesh.triangles.mean(1)[:, 2] > 500 * np.cos(np.radians(15)))
        made = turn_alike(spoilt(mesh, 0.3), np.array(toward, float))
        assert (outward(made.mesh) == (toward[2] > 0)).all() and made.by == ("direction",)
        for share in (0.3, 0.7):
            made = turn_alike(spoilt(mesh, share))
            assert outward(made.mesh).all() and made.by == ("bulge",)

    def test_a_flat_panel(self):
        """Nothing tells which side is out: as most of it was."""
        made = trimesh.creation.box((400, 300, 10)).subdivide_to_size(40)
        mesh = Mesh(made.vertices, made.faces)
        mesh = mesh.submesh(mesh.normals[:, 2] > 0.5)
        for share, up in ((0.2, True), (0.8, False)):
            made = turn_alike(spoilt(mesh, share))
            assert made.by == ("majority",) and ((made.mesh.normals[:, 2] > 0) == up).all()

    def test_bodies_apart(self):
        made = turn_alike(join([ball(), spoilt(ball(50, (300, 0, 0)), 1.0)]))
        half = len(ball())
        assert outward(made.mesh.submesh(np.arange(half))).all()
        assert outward(made.mesh.submesh(np.arange(half, len(made.mesh))), (300, 0, 0)).all()


class TestDoubles:
    def test_every_face_twice(self):
        mesh = ball(subdivisions=2)
        for other in (mesh.faces, mesh.faces[:, ::-1], np.roll(mesh.faces, 1, axis=1)):
            stays = without_duplicates(Mesh(mesh.vertices, np.vstack([mesh.faces, other])))
            assert np.flatnonzero(stays).tolist() == list(range(len(mesh)))

    def test_a_wall_between_two_boxes(self):
        """Two boxes that share the corners of a face: both sides of it go, and one box of both volumes is left."""
        one = trimesh.creation.box((10, 10, 10))
        two = one.copy()
        # Mirrored, so that the diagonals of the two faces run alike and they are the same triangles.
        two.apply_transform(np.diag([-1.0, 1, 1, 1]))
        two.apply_translation((10, 0, 0))
        merged = trimesh.util.concatenate([one, two])
        merged.merge_vertices()
        mesh = Mesh(merged.vertices, merged.faces)
        shared = np.sort(mesh.faces[np.isclose(mesh.triangles[:, :, 0], 5).all(1)], axis=1)
        assert len(np.unique(shared, axis=0)) == 2
        left = mesh.submesh(without_duplicates(mesh))
        assert len(left) == 20 and left.volume_mm3 == pytest.approx(2000)
        assert trimesh.Trimesh(left.vertices, left.faces, process=False).is_watertight


class TestSmoothing:
    def test_noise_on_a_ball(self):
        """Noise of 0.2 mm, independent at corners 8 mm apart, comes out at less than a third; nothing shrinks."""
        clean = ball(500, subdivisions=6)
        noise = np.random.default_rng(1).normal(0, 0.2, len(clean.vertices))
        noisy = Mesh(clean.vertices * (1 + noise / 500)[:, None], clean.faces)
        made = smoothed(noisy, 1.0, 40.0, 0.02)
        off = np.linalg.norm(made.vertices, axis=1) - 500
        assert off.std() < 0.2 / 3 and abs(off.mean()) < 0.01

    @pytest.mark.parametrize("most", [0.05, 0.3])
    def test_no_further_than_asked(self, most):
        clean = ball(500, subdivisions=5)
        noise = np.random.default_rng(1).normal(0, 0.5, len(clean.vertices))
        noisy = Mesh(clean.vertices * (1 + noise / 500)[:, None], clean.faces)
        moved = np.linalg.norm(smoothed(noisy, most, 60.0, 0.02).vertices - noisy.vertices, axis=1)
        assert 0.9 * most < moved.max() <= most + 1e-9

    def test_edges_and_rims_stay(self):
        """A box with its lid off: plane faces, sharp edges and the rim are where they were."""
        made = trimesh.creation.box((400, 300, 200))
        for _ in range(4):
            made = made.subdivide()
        mesh = Mesh(made.vertices, made.faces[made.triangles_center[:, 2] < 99.9]).compact()
        assert np.abs(smoothed(mesh, 1.0, 40.0, 0.02).vertices - mesh.vertices).max() < 1e-6
