"""Whether a shell fits a bed, against closed forms and trimesh's own oriented boxes."""

import math
from dataclasses import replace

import numpy as np
import pytest
import trimesh
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.spatial.transform import Rotation

from sections.numbers.box import tight_axes
from sections.numbers.mesh import connected
from sections.seaming.bed_fit import excess, least_width
from sections.solids.corner_groups import corner_groups
from tests.seaming.test_search import NONE, plate, rules, shell_of

ROOM = np.array([[290.0, 290.0, 295.0]])


def box(*size):
    return trimesh.creation.box(size).vertices


@pytest.mark.parametrize("thick", [4.0, 24.0, 60.0])
@pytest.mark.parametrize(("over", "fits"), [(-0.1, True), (0.1, False)])
def test_a_plate_stood_diagonally(thick, over, fits):
    """A rectangle L x t at 45 degrees fits a square of a where (L + t) / sqrt 2 <= a."""
    longest = math.sqrt(2) * 290 - thick
    plate = box(longest + over, thick, 295) @ Rotation.from_euler("xyz", [20, 30, 40], degrees=True).as_matrix().T
    assert (excess(plate, ROOM) <= 0) == fits


def test_as_it_stands():
    assert excess(box(290, 290, 295), ROOM) == pytest.approx(0, abs=1e-5)
    assert excess(box(600, 10, 10), ROOM) == pytest.approx(310), "longer than the bed's diagonal"


def test_any_of_several_beds():
    rooms = np.array([[200.0, 200.0, 200.0], [100.0, 390.0, 100.0]])
    assert excess(box(380, 90, 90), rooms) <= 0 and excess(box(190, 190, 190), rooms) <= 0
    assert excess(box(380, 190, 90), rooms) > 0


@settings(max_examples=40, deadline=None)
@given(st.tuples(st.floats(20, 289), st.floats(20, 289), st.floats(20, 289)), st.integers(0, 10**6))
def test_what_a_box_from_elsewhere_takes(size, seed):
    """What trimesh's oriented box puts in the room fits, however it was turned."""
    turned = box(*size) @ Rotation.random(random_state=seed).as_matrix().T
    extents = np.sort(trimesh.bounds.oriented_bounds(turned)[1])
    assert (extents <= np.sort(ROOM[0]) + 1e-6).all()
    assert excess(turned, ROOM) <= 0


@pytest.mark.parametrize("seed", range(12))
def test_a_box_as_tight_as_elsewhere(seed):
    """The hull of scattered points: no box of trimesh's is smaller by a twentieth."""
    rng = np.random.default_rng(seed)
    points = rng.normal(size=(80, 3)) * [300, 200, 20] @ Rotation.random(random_state=seed).as_matrix().T
    ours = np.ptp(points @ tight_axes(points).T, axis=0).prod()
    assert ours < 1.05 * trimesh.bounds.oriented_bounds(points)[1].prod()


def test_width_of_a_strip():
    strip = box(300, 42, 5) @ Rotation.from_euler("xyz", [70, 10, 40], degrees=True).as_matrix().T
    assert least_width(strip) == pytest.approx(42, rel=0.02)


@pytest.mark.parametrize(
    ("length", "width", "narrow"),
    [(280, 39, 1), (280, 41, 0), (60, 38, 1), (280, 29, 4), (280, 31, 1), (280, 280, 0), (45, 45, 0)],
)
@pytest.mark.parametrize("turned", [0.0, 37.0])
def test_narrow_plates_cost_more(length, width, narrow, turned):
    """40 mm are the least wanted: what is less wide costs a section more, however it is turned; under 30, all flange,
    four."""
    made = plate(length, width)
    made.apply_transform(trimesh.transformations.rotation_matrix(math.radians(turned), [1, 2, 3]))
    judged = replace(rules(weights=NONE.model_copy(update={"narrow": 1.0})), shortest=30.0)
    assert judged.fitting(shell_of(made)) == 1.0 + narrow


@settings(max_examples=200, deadline=None)
@given(seed=st.integers(0, 10**6))
def test_groups_of_corners(seed):
    """Those scipy finds (csgraph.connected_components), numbered alike, of random faces."""
    rng = np.random.default_rng(seed)
    faces = rng.integers(0, rng.integers(5, 90), (rng.integers(1, 40), 3))
    faces = np.unique(faces, return_inverse=True)[1].reshape(-1, 3)
    links = faces[:, [0, 1, 0, 2]].reshape(-1, 2)
    assert (corner_groups(faces) == connected(links, faces.max() + 1)).all()
