"""Exact walls against closed forms, and the skins that have none, each refused with its reason."""

import math

import cadquery as cq
import numpy as np
import pytest

from sections.errors import NotExact
from sections.numbers.frame import Plane
from sections.solids.distance import MeshDistance
from sections.solids.exact_solid import ExactSolid
from sections.solids.skin_samples import sample_skin
from sections.solids.tessellate import tessellate
from sections.wall.carve_exact import carve_exact
from sections.wall.depth import DepthRule
from sections.wall.offset_fields import CellRegion, offset_groups


def wall_of(solid, planes, flanged, wall=4.0):
    """Return the exact wall of the part of a solid on the plus side of planes, with flanges along them or none."""
    made = tessellate(solid.wrapped, 0.05, "body")
    samples = sample_skin([solid.wrapped], [made])
    block = ExactSolid(solid.wrapped).clip(planes)
    rule = DepthRule(wall, 24.0, 6.0, 45.0, tuple(planes) if flanged else ())
    groups = offset_groups(samples, MeshDistance(made.mesh), rule, CellRegion(block.bounds, tuple(planes)))
    return carve_exact(block, groups)


def test_box_without_seams():
    """A closed box: 200 x 150 x 100 less 192 x 142 x 92, six planes outside and six inside."""
    wall = wall_of(cq.Solid.makeBox(200, 150, 100), [], False)
    assert wall.is_valid and len(wall.pieces()) == 1
    assert wall.volume_mm3 == pytest.approx(200 * 150 * 100 - 192 * 142 * 92, rel=1e-6)


@pytest.mark.slow
def test_cap_of_a_sphere():
    """Spherical caps, V = pi h^2 (3 R - h) / 3: R 150, cut 60 below its pole, less that of R 146, 56 high."""
    ball = cq.Solid.makeSphere(150, angleDegrees1=-90, angleDegrees2=90)
    wall = wall_of(ball, [Plane((0.0, 0.0, 1.0), 90.0)], False)

    def cap(radius, height):
        return math.pi * height**2 * (3 * radius - height) / 3

    assert wall.is_valid
    assert wall.mesh(0.01).volume_mm3 == pytest.approx(cap(150, 60) - cap(146, 56), rel=2e-3)


def test_flange_of_a_plate():
    """Half of a box 200 x 300 x 100 cut at x = 80: behind the seam the material is 24 deep over 6, then falls at 45
    deg to 4. Its section square to the seam is the same all along the middle: area and height by hand."""
    wall = wall_of(cq.Solid.makeBox(200, 300, 100), [Plane((1.0, 0.0, 0.0), 80.0)], True)
    assert wall.is_valid
    middle = wall.clip([Plane((0.0, 1.0, 0.0), 140.0), Plane((0.0, -1.0, 0.0), -160.0), Plane((0.0, 0.0, 1.0), 50.0),
                        Plane((-1.0, 0.0, 0.0), -180.0)])  # fmt: skip
    assert middle.volume_mm3 == pytest.approx(20 * (100 * 4 + 20 * 6 + 20 * 20 / 2), rel=1e-6)
    assert middle.bounds[0] == pytest.approx([80, 140, 76], abs=1e-5)


def test_edge_that_points_inward():
    corner = cq.Workplane("XY").polyline([(0, 0), (200, 0), (200, 80), (80, 80), (80, 200), (0, 200)]).close()
    with pytest.raises(NotExact, match="points inward"):
        wall_of(corner.extrude(100).val(), [], False)


def test_whole_cylinder():
    with pytest.raises(NotExact, match="no height field"):
        wall_of(cq.Solid.makeCylinder(60, 200), [], False)


def test_crease_that_fades():
    """Two cylinders that roll off from one plane and meet in a mitre that begins there at no angle at all."""
    body = cq.Workplane("XY").box(200, 200, 100).faces(">Z").edges(">X or >Y").fillet(40).val()
    with pytest.raises(NotExact, match="fades out"):
        wall_of(body, [Plane((1.0, 0.0, 0.0), 20.0), Plane((0.0, 1.0, 0.0), 20.0), Plane((0.0, 0.0, 1.0), 0.0)], False)


def test_samples_lie_on_their_faces():
    """A cylinder's samples: on its side 60 from the axis, on its ends at z = 0 or 200; the rims turn by 90 deg."""
    made = tessellate(cq.Solid.makeCylinder(60, 200).wrapped, 0.05, "body")
    samples = sample_skin([cq.Solid.makeCylinder(60, 200).wrapped], [made])
    radius = np.hypot(samples.points[:, 0], samples.points[:, 1])
    on_side = np.abs(radius - 60) < 1e-9
    on_end = (np.abs(samples.points[:, 2]) < 1e-9) | (np.abs(samples.points[:, 2] - 200) < 1e-9)
    assert (on_side | on_end).all()
    assert sorted(round(float(c.turn.mean())) for c in samples.creases) == [90, 90]
