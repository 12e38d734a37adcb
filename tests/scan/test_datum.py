"""Datum and symmetry: known motions found again, motions left free refused, misses as another library has them."""

import numpy as np
import pytest
import trimesh
from scipy.spatial.transform import Rotation

from sections.errors import BadInput
from sections.numbers.mesh import Mesh
from sections.scan.datum import check_distances, place_by
from sections.scan.symmetric import asymmetry_map, symmetric_planes
from sections.settings.scan import DatumTable, Measured, Target

TURN = Rotation.from_euler("xyz", (7.0, -16.0, 24.0), degrees=True).as_matrix()
SHIFT = np.array([830.0, -455.0, 1210.0])


def egg():
    """An ellipsoid of half axes 400, 150 and 100 mm in the vehicle frame, with a bump on its roof."""
    made = trimesh.creation.icosphere(5)
    vertices = made.vertices * [400, 150, 100]
    near = np.linalg.norm(vertices - [120, 0, 90], axis=1)
    vertices[:, 2] += 25 * np.exp(-((near / 60) ** 2))
    return Mesh(vertices, made.faces)


def to_file(points):
    """Places of the vehicle frame as a scanner has them."""
    return np.asarray(points, float) @ TURN.T + SHIFT


def scan():
    return Mesh(to_file(egg().vertices), egg().faces)


def target(points, **known):
    return Target(points=[list(map(float, p)) for p in to_file(np.atleast_2d(np.array(points, float)))], **known)


THREE_TWO_ONE = [
    target([(-300, 90, -40), (-300, -90, -40), (310, 0, -40)], z=-40),
    target([(-250, 120, 15), (260, 120, -5)], y=120),
    target([(-390, 10, 5)], x=-390),
]


def placed(targets, centre=None, limit=1.0, scale=1.0, mesh=None):
    datum = DatumTable(targets=targets, centre=centre is not None, limit=limit)
    return place_by(datum, mesh or scan(), np.eye(3), centre, scale)


class TestTargets:
    def test_three_two_one(self):
        """Plane, axis and point hold the six motions: the turn and shift are found again, nothing is missed."""
        found = placed(THREE_TWO_ONE)
        assert found.rotation == pytest.approx(TURN.T, abs=1e-9) and found.most < 1e-7
        assert found.of(scan()).vertices == pytest.approx(egg().vertices, abs=1e-7)
        assert np.linalg.det(found.rotation) == pytest.approx(1)

    def test_whole_places_as_scipy_fits_them(self):
        """Six places known in x, y and z, measured 0.3 mm off: scipy's Rotation.align_vectors (Kabsch) fits alike."""
        true = np.random.default_rng(4).uniform(-1, 1, (6, 3)) * [400, 150, 100]
        noisy = to_file(true) + np.random.default_rng(5).normal(0, 0.3, (6, 3))
        targets = [Target(points=[list(p)], x=t[0], y=t[1], z=t[2]) for p, t in zip(noisy.tolist(), true, strict=True)]
        found = placed(targets, limit=5.0)
        turn, rssd = Rotation.align_vectors(true - true.mean(0), noisy - noisy.mean(0))
        assert found.rotation == pytest.approx(turn.as_matrix(), abs=1e-7)
        misses = np.array([miss for _, _, miss in found.misses])
        assert np.sqrt((misses**2).sum()) == pytest.approx(rssd, rel=1e-6)

    def test_places_are_scaled_with_the_body(self):
        """Places are typed as the file has them; body.scale applies to them as to the mesh."""
        small = Mesh(scan().vertices / 1.25, scan().faces)
        targets = [t.model_copy(update={"points": (np.array(t.points) / 1.25).tolist()}) for t in THREE_TWO_ONE]
        found = placed(targets, scale=1.25, mesh=Mesh(small.vertices * 1.25, small.faces))
        assert found.of(scan()).vertices == pytest.approx(egg().vertices, abs=1e-7)

    def test_a_mean_over_noisy_skin(self):
        """A place 5 mm off the skin, taken over 40 mm of a plane floor: the mean of the skin there."""
        plate = trimesh.creation.box((800, 300, 20))
        for _ in range(6):
            plate = plate.subdivide()
        noisy = plate.vertices + np.random.default_rng(6).normal(0, 0.2, plate.vertices.shape) * [0, 0, 1]
        mesh = Mesh(to_file(noisy), plate.faces)
        targets = [target([(-300, 90, 15), (-300, -90, 15), (310, 0, 15)], z=10, over=40.0), *THREE_TWO_ONE[1:]]
        found = placed(targets, mesh=mesh)
        # Some 60 corners of noise 0.2 each: 0.03 a place, and some 0.1 where the turn they make ends.
        assert found.rotation == pytest.approx(TURN.T, abs=3e-4) and found.shift == pytest.approx(
            -TURN.T @ SHIFT, abs=0.3
        )
        assert np.median(found.of(mesh).vertices[noisy[:, 2] > 8, 2]) == pytest.approx(10, abs=0.1)

    @pytest.mark.parametrize(
        ("targets", "free"),
        [
            (THREE_TWO_ONE[:2], "moving along x"),
            (THREE_TWO_ONE[1:], "3 are not"),
            ([target([(-300, 0, -40), (0, 0, -40), (310, 0, -40)], z=-40), *THREE_TWO_ONE[1:]], "1 are not"),
        ],
        ids=["no point", "no plane", "a plane of three places in line"],
    )
    def test_a_motion_left_free(self, targets, free):
        with pytest.raises(BadInput, match=free):
            placed(targets)

    def test_a_target_missed(self):
        """A place known in y, typed 8 mm wrong, beside nine that agree: y of it is named."""
        wrong = target([(0, 140, 0)], y=148)
        with pytest.raises(BadInput, match=r"datum.targets\[4\](.|\n)*y is missed by"):
            placed([*THREE_TWO_ONE, wrong])
        assert placed([*THREE_TWO_ONE, wrong], limit=10).most > 1

    def test_no_skin_there(self):
        far = target([(0, 0, 900)], z=900, over=5.0)
        with pytest.raises(BadInput, match=r"datum.targets\[4\].points\[1\](.|\n)*skin within 5 mm"):
            placed([*THREE_TWO_ONE, far])


class TestSymmetry:
    def test_the_plane_is_found(self):
        """The egg turned and shifted: its plane y = 0 as the file has it; x = 0 is none because of the bump."""
        best = symmetric_planes(scan())[0]
        normal = best.normal * np.sign(best.normal @ TURN[:, 1])
        assert normal == pytest.approx(TURN[:, 1], abs=2e-5)
        assert best.offset * np.sign(best.normal @ TURN[:, 1]) == pytest.approx(TURN[:, 1] @ SHIFT, abs=0.01)
        assert best.most < 0.05

    def test_a_dent_on_one_side_does_not_draw_it(self):
        """A dent of 12 mm on one flank is left out of the fit, and stands on the map with its depth."""
        mesh = egg()
        near = np.linalg.norm(mesh.vertices - [-80, 140, 20], axis=1)
        depth = 12 * np.exp(-((near / 30) ** 2))
        dented = Mesh(mesh.vertices - depth[:, None] * [0, 1, 0], mesh.faces)
        best = symmetric_planes(dented)[0]
        assert abs(best.normal[1]) == pytest.approx(1, abs=1e-4) and abs(best.offset) < 0.1
        off = asymmetry_map(dented, best)
        assert off[near.argmin()] == pytest.approx(depth.max(), rel=0.15)
        assert np.median(off) < 0.1

    def test_it_sets_the_datum(self):
        """y = 0 from the plane; a length, a height and a pitch from three places."""
        centre = symmetric_planes(scan())[0]
        found = placed([target([(-300, 0, -40), (310, 0, -40)], z=-40), target([(-390, 0, 5)], x=-390)], centre=centre)
        assert found.of(scan()).vertices == pytest.approx(egg().vertices, abs=0.05)


class TestDistances:
    def test_shown(self):
        one = Measured(id="sill", between=[[0, 0, 0], [300, 400, 0]], length=1000.0)
        assert "1000.00 mm in the scan" in check_distances([one], 2.0)[0]

    @pytest.mark.parametrize(("off", "taken"), [(0.99, True), (1.01, False)])
    def test_tolerance(self, off, taken):
        one = Measured(id="sill", between=[[0, 0, 0], [300, 400, 0]], length=500.0 + off)
        if taken:
            check_distances([one], 1.0)
        else:
            with pytest.raises(BadInput, match=r"body.scale = 1.00202 would show it"):
                check_distances([one], 1.0)
