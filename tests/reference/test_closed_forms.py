"""The wall of bodies whose volume is known in closed form. Sources are named at each check."""

import math

import cadquery as cq
import numpy as np
import pytest

from sections.solids.distance import MeshDistance
from sections.solids.print_solid import PrintSolid
from sections.solids.tessellate import tessellate
from sections.wall.carve import carve
from sections.wall.depth import DepthRule

DEVIATION = 0.02


def hollowed(solid, wall, pitch=2.0, what="body"):
    """Return (volume of the wall, volume of the whole), mm3, of a CadQuery solid carved without seams."""
    mesh = tessellate(solid.wrapped, DEVIATION, what).mesh
    block = PrintSolid.of(mesh, what)
    made = carve(block, MeshDistance(mesh), DepthRule(wall, wall, 1.0, 45.0, ()), pitch, [])
    return sum(piece.volume_mm3 for piece in made.pieces), block.volume_mm3


def test_spherical_shell():
    """4/3 pi (R^3 - (R - t)^3), R 50, t 3: 88706.010; area times wall, 94247.780, would be 6 % too much."""
    wall, whole = hollowed(cq.Solid.makeSphere(50, angleDegrees1=-90, angleDegrees2=90), 3.0)
    assert whole == pytest.approx(4 / 3 * math.pi * 50**3, rel=2e-3)
    assert wall == pytest.approx(88706.010, rel=4e-3)


def test_box_shell():
    """Closed box 100 x 60 x 40 hollowed 3 inside: 240000 - 94 x 54 x 34 = 67416, never less.

    A sharp inner edge is filled by at most half a lattice square: 4 (94 + 54 + 34) = 728 mm of them.
    """
    wall, whole = hollowed(cq.Solid.makeBox(100, 60, 40), 3.0)
    assert whole == pytest.approx(240000, rel=1e-9)
    assert 67416 - 1 <= wall <= 67416 + 728 * 2.0**2 / 2


def test_torus_shell():
    """Pappus: torus R 80 r 20, wall 2 inward: 2 pi^2 R (r^2 - (r - 2)^2) = 120014.390."""
    wall, whole = hollowed(cq.Solid.makeTorus(80, 20), 2.0, pitch=4.0)
    assert whole == pytest.approx(631654.682, rel=2e-3)
    assert wall == pytest.approx(120014.390, rel=5e-3)


def test_inward_offset_of_a_parallel_body_is_the_body():
    """Steiner: box 100 x 60 x 40 grown by 5 has 380231.562 mm3; 5 inward of it lies the box, 240000, again.

    The box's 800 mm of sharp edges are filled by at most half a lattice square.
    """
    grown = cq.Workplane("XY").box(110, 70, 50).edges().fillet(4.99999).val()
    wall, whole = hollowed(grown, 5.0)
    assert whole == pytest.approx(380231.562, rel=1e-3)
    assert 240000 - 800 * 2.0**2 / 2 <= whole - wall <= 240000 + 60


def test_inner_face_lies_on_the_true_offset():
    """On a sphere every point of the inner face is exactly R - t from the centre (default pitch, 0.05 mm)."""
    mesh = tessellate(cq.Solid.makeSphere(150, angleDegrees1=-90, angleDegrees2=90).wrapped, DEVIATION, "ball").mesh
    made = carve(PrintSolid.of(mesh, "ball"), MeshDistance(mesh), DepthRule(4.0, 4.0, 1.0, 45.0, ()), 5.0, [])
    radius = np.linalg.norm(made.hollow.vertices, axis=1)
    assert np.abs(radius - 146).max() < 0.05


def test_flange_depth_follows_its_rule():
    """A slab 100 thick with one seam: within the flange's thickness the depth is its height, then falls 1 in 1."""
    from sections.numbers.frame import Plane

    rule = DepthRule(4.0, 24.0, 6.0, 45.0, (Plane((1.0, 0.0, 0.0), 0.0),))
    x = np.array([0.0, 6.0, 11.0, 26.0, 40.0])
    depth = rule.at(np.column_stack([x, 0 * x, 0 * x]))
    assert depth == pytest.approx([24.0, 24.0, 19.0, 4.0, 4.0])
    # tan 30 deg: a flatter back reaches 20 x tan 30 = 11.547 from the flange.
    flat = DepthRule(4.0, 24.0, 6.0, 30.0, (Plane((1.0, 0.0, 0.0), 0.0),))
    assert flat.at(np.array([[6 + 11.547, 0, 0]]))[0] == pytest.approx(4.0, abs=1e-3)


@pytest.mark.parametrize(
    ("centre", "right"),
    [((12.0, 0.0, 0.0), 871.2684), ((0.0, 12.0, 0.0), 871.2684), ((0.0, 0.0, 12.0), 871.2684)],
)
def test_lens_of_two_balls(centre, right):
    """pi (2r - d)^2 (d^2 + 4dr) / (12 d), r 10, d 12: 871.2684 (a library's default gave a whole ball, 4188.79)."""
    ball = tessellate(cq.Solid.makeSphere(10, angleDegrees1=-90, angleDegrees2=90).wrapped, 0.002, "ball").mesh
    one = PrintSolid.of(ball)
    two = one.moved(np.array(centre))
    common, both = one.common(two), one.unite([two])
    assert common.volume_mm3 == pytest.approx(right, rel=2e-3)
    assert one.volume_mm3 + two.volume_mm3 == pytest.approx(both.volume_mm3 + common.volume_mm3, rel=1e-9)
    assert one.volume_mm3 == pytest.approx(one.cut([two]).volume_mm3 + common.volume_mm3, rel=1e-9)


def test_napkin_ring():
    """A ball of 30 drilled 24 leaves pi h^3 / 6, h = 36: 24429.024, whatever the ball."""
    ball = tessellate(cq.Solid.makeSphere(30, angleDegrees1=-90, angleDegrees2=90).wrapped, 0.005, "ball").mesh
    drill = tessellate(cq.Solid.makeCylinder(24, 80, cq.Vector(0, 0, -40)).wrapped, 0.005, "drill").mesh
    assert PrintSolid.of(ball).cut([PrintSolid.of(drill)]).volume_mm3 == pytest.approx(24429.024, rel=4e-3)


def test_halves_sum_to_the_whole():
    """Cutting by a plane loses nothing (Cavalieri); filleted block 300 x 200 x 100: 6000000 - (4 - pi) r^2 h."""
    block = cq.Workplane("XY").box(300, 200, 100).edges("|Z").fillet(20).val()
    mesh = tessellate(block.wrapped, 0.01, "block").mesh
    assert mesh.volume_mm3 == pytest.approx(5965663.706, rel=1e-5)
    from sections.numbers.frame import Plane

    normal = np.array([0.6, 0.64, 0.48])
    plus, minus = PrintSolid.of(mesh).split(Plane(tuple(normal / np.linalg.norm(normal)), 11.0))
    assert plus.volume_mm3 + minus.volume_mm3 == pytest.approx(mesh.volume_mm3, rel=1e-12)
