"""A mark on a seam face lies on plain face, clear of joints and edges, whatever way the face runs."""

import numpy as np
import pytest
import shapely
import trimesh
from shapely import MultiPolygon, affinity

from sections.features.label import Label
from sections.numbers.frame import Plane
from sections.numbers.mesh import Mesh
from sections.plan.seam_labels import SeamFace, label_seam_face
from sections.solids.distance import MeshDistance

LABEL = Label("X3Z1R", 6.0, 1.0, 0.8, False, 1, True)
SLANT = Plane((0.6, 0.0, 0.8), 40.0)
WALL = 4.0


def skin_of(size):
    """A cube about the middle of the slanted seam, so wide."""
    made = trimesh.creation.box([size] * 3)
    made.apply_transform(np.vstack([np.column_stack([SLANT.frame().rotation, SLANT.frame().origin]), [0, 0, 0, 1]]))
    return MeshDistance(Mesh(np.asarray(made.vertices), np.asarray(made.faces)))


FAR = skin_of(900.0)


def face_of(outline, joints=(), plane=SLANT):
    frame = plane.frame()
    places = frame.to_world(np.array([(x, y, 0.0) for x, y, _ in joints]).reshape(-1, 3))
    taken = np.column_stack([places, [radius for _, _, radius in joints]])
    return SeamFace(plane, frame, MultiPolygon([outline]), taken)


@pytest.mark.parametrize("turn", [0, 30, 75, 105])
@pytest.mark.parametrize("joints", [(), ((0.0, 0.0, 12.0), (45.0, 0.0, 12.0))])
def test_on_plain_face(turn, joints):
    """A strip 120 x 14 of a leaning seam, turned in it, with two joints: the whole outline lies within the strip and
    off both circles (shapely), in the seam's plane, seen from off the plastic, never head down."""
    strip = affinity.rotate(shapely.box(-60, -7, 60, 7), turn, (0, 0))
    placed = [shapely.affinity.rotate(shapely.Point(x, y), turn, (0, 0)) for x, y, _ in joints]
    face = face_of(strip, [(p.x, p.y, r) for p, (_, _, r) in zip(placed, joints, strict=True)])
    label, frame = label_seam_face([LABEL], (face,), FAR, WALL)
    outline = label.outline(frame)
    corners = shapely.get_coordinates(outline)
    world = frame.to_world(np.column_stack([corners, np.zeros(len(corners))]))
    assert SLANT.distance(world) == pytest.approx(0, abs=1e-9)
    assert frame.z == pytest.approx(SLANT.normal) and frame.y[2] >= -1e-9
    seen = shapely.points(face.frame.to_local(world)[:, :2])
    assert shapely.distance(strip.exterior, seen).min() >= 1.0 and strip.contains(shapely.MultiPoint(seen))
    for p, (_, _, radius) in zip(placed, joints, strict=True):
        assert shapely.distance(p, seen).min() >= radius + 1.0


def test_the_first_form_that_fits_on_the_largest_face():
    """A line of five letters is some 30 long: a face 24 square takes it in two lines, one 8 high not at all."""
    forms = [Label("X3Z1R", 6.0, 1.0, 0.8, False, rows, True) for rows in (1, 2)]
    narrow, square = face_of(shapely.box(0, 0, 90, 8)), face_of(shapely.box(0, 0, 24, 24))
    assert label_seam_face(forms, (narrow, square), FAR, WALL)[0].rows == 2
    assert label_seam_face(forms, (narrow,), FAR, WALL) is None and label_seam_face(forms, (), FAR, WALL) is None


@pytest.mark.parametrize(("wide", "found"), [(60.0, True), (32.0, True), (30.0, False)])
def test_a_whole_wall_off_the_skin(wide, found):
    """In a cube cut through its middle letters lie a wall of 4 below the skin. With its stroke the line is 25.3 x 7:
    set diagonally it takes a square of (25.3 + 7) / sqrt 2 = 22.9, in a cube of 30.9. Depths in a cube: closed form."""
    face = face_of(shapely.box(-wide / 2, -wide / 2, wide / 2, wide / 2))
    made = label_seam_face([LABEL], (face,), skin_of(wide), WALL)
    assert (made is not None) == found
    if made is not None:
        corners = shapely.get_coordinates(LABEL.outline(made[1]))
        places = made[1].to_world(np.column_stack([corners, np.full(len(corners), -LABEL.relief)]))
        away = wide / 2 - np.abs(SLANT.frame().to_local(places)).max(1)
        assert away.min() >= WALL - 1e-6
