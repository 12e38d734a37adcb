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
from sections.wall.recess import recess_walls


def wall_of(solid, planes, flanged, wall=4.0):
    """Return the exact wall of the part of a solid on the plus side of planes, with flanges along them or none."""
    made = tessellate(solid.wrapped, 0.05, "body")
    samples = sample_skin([solid.wrapped], [made])
    block = ExactSolid(solid.wrapped).clip(planes)
    rule = DepthRule(wall, 24.0, 6.0, 45.0, tuple(planes) if flanged else ())
    region = CellRegion(block.bounds, tuple(planes))
    groups, recesses = offset_groups(samples, MeshDistance(made.mesh), rule, region)
    return carve_exact(block, [*groups, *recess_walls(ExactSolid(solid.wrapped).faces, recesses, wall)])


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
    """An angle of 200 x 200 x 100, its legs 80 wide. Inside it is all that lies more than 4 below: the outline moved in
    by 4, its inner corner rounded with 4, 92 high."""
    corner = cq.Workplane("XY").polyline([(0, 0), (200, 0), (200, 80), (80, 80), (80, 200), (0, 200)]).close()
    wall = wall_of(corner.extrude(100).val(), [], False)
    inside = 92 * (192**2 - 120**2 + 4 * 4 - math.pi * 4**2 / 4)
    assert wall.is_valid and len(wall.pieces()) == 1
    assert wall.volume_mm3 == pytest.approx(100 * (200**2 - 120**2) - inside, rel=1e-6)


@pytest.mark.parametrize("lean", [0.0, 15.0])
def test_lamp_let_into_a_plate(lean):
    """A round recess of radius 40, 30 deep, in the top of a box, straight or leaning by 15 deg. The wall about it is 4:
    off its side, below its floor, and a quarter of a ring of radius 4 about the floor's edge, whose middle lies
    4 * 4 / (3 pi) from that edge (Pappus). Straight or leaning, all of the inner face is 4 mm off the skin."""
    box = cq.Workplane("XY").box(200, 200, 100).translate((0, 0, -50))
    lamp = cq.Workplane("XY").circle(40).extrude(200).translate((0, 0, -30)).rotate((0, 0, 0), (0, 1, 0), lean)
    solid = box.cut(lamp).val().Solids()[0]
    wall = wall_of(solid, [], False)
    assert wall.is_valid and len(wall.pieces()) == 1
    if not lean:
        ring = math.pi * 4**2 / 4 * 2 * math.pi * (40 + 4 * 4 / (3 * math.pi))
        about = math.pi * 44**2 * (30 - 4) + math.pi * 40**2 * 4 + ring
        assert wall.volume_mm3 == pytest.approx(solid.Volume() - (192 * 192 * 92 - about), rel=1e-6)
    skin = MeshDistance(tessellate(solid.wrapped, 0.01, "body").mesh)
    depth = skin.depth(wall.mesh(0.01).vertices)
    assert depth[depth > 0.05].min() == pytest.approx(4.0, abs=0.03)
    assert depth.max() == pytest.approx(4.0, abs=0.03)


@pytest.mark.parametrize("at", [72.0, 68.0])
def test_flange_about_a_recess(at):
    """The same recess, 40 round, in a box cut off beyond it: the flange ends 6 + 20 from the seam, the recess's wall 44
    from its middle, so that they meet where the seam is nearer than 70 to that."""
    box = cq.Workplane("XY").box(300, 200, 100).translate((0, 0, -50))
    solid, seam = box.cut(cq.Workplane("XY").circle(40).extrude(-30)).val().Solids()[0], Plane((-1.0, 0.0, 0.0), -at)
    if at > 70:
        assert wall_of(solid, [seam], True).is_valid
    else:
        with pytest.raises(NotExact, match="flange comes about"):
            wall_of(solid, [seam], True)


@pytest.mark.parametrize("at", [130.0, 40.0])
def test_an_edge_far_off_points_inward(at):
    """A block, its edges rounded, with a knob on its top at x = 0 to 20: all of its long faces meet the edge about it,
    by way of the rounded ones. A cell that begins far from it is exact, with its flanges; one beside it is not."""
    block = cq.Workplane("XY").box(300, 240, 240).translate((150, 0, -120)).edges("|X").fillet(80)
    solid = block.union(cq.Workplane("XY").box(20, 60, 40).translate((10, 0, 0))).val().Solids()[0]
    seams = [Plane((1.0, 0.0, 0.0), at), Plane((0.0, 1.0, 0.0), 0.0), Plane((0.0, 0.0, 1.0), -120.0)]
    if at > 100:
        assert wall_of(solid, seams, True).is_valid
    else:
        with pytest.raises(NotExact, match="flange comes about"):
            wall_of(solid, seams, True)


def test_inward_edge_between_other_faces():
    """A ridge of splines along a valley: neither plane nor round, not followed."""
    points = [(0, 0), (40, 3), (80, 0), (100, -30), (120, 0), (160, 3), (200, 0)]
    top = (
        cq.Workplane("XZ").moveTo(0, 0).spline(points[1:4], includeCurrent=True).spline(points[4:], includeCurrent=True)
    )
    with pytest.raises(NotExact, match="not plane or round"):
        wall_of(top.lineTo(200, -100).lineTo(0, -100).close().extrude(100).val(), [], False)


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
