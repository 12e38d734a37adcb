"""The exact solid's operations against closed forms, and against the print solid's same operations."""

import math

import cadquery as cq
import numpy as np
import pytest
import shapely

from sections.errors import NotExact
from sections.numbers.frame import Plane, frame_on
from sections.solids.exact_solid import ExactSolid, read_brep, write_brep
from sections.solids.print_solid import PrintSolid


def block(size=(40.0, 30.0, 20.0)):
    return ExactSolid(cq.Solid.makeBox(*size).wrapped)


def test_split_clip_and_corners():
    plus, minus = block().split(Plane((1.0, 0.0, 0.0), 10.0))
    assert plus.volume_mm3 == pytest.approx(30 * 30 * 20) and minus.volume_mm3 == pytest.approx(10 * 30 * 20)
    assert plus.bounds == pytest.approx(np.array([[10, 0, 0], [40, 30, 20]]), abs=1e-6)
    slant = Plane((math.sqrt(0.5), math.sqrt(0.5), 0.0), 0.0)
    assert block().clip([slant, slant.flipped()]).volume_mm3 == pytest.approx(0, abs=1e-6)
    assert len(np.unique(block().corners.round(6), axis=0)) == 8 + 12 * 3


def test_ball_cut_by_cylinder():
    """A ball of 30 with a hole of 10 through its middle keeps 4/3 pi (R^2 - r^2)^1.5 (the napkin ring)."""
    ball = ExactSolid(cq.Solid.makeSphere(30, angleDegrees1=-90, angleDegrees2=90).wrapped)
    bar = ExactSolid(cq.Solid.makeCylinder(10, 80, cq.Vector(0, 0, -40)).wrapped)
    ring = ball.cut([bar])
    assert ring.is_valid and len(ring.pieces()) == 1
    assert ring.volume_mm3 == pytest.approx(4 / 3 * math.pi * (900 - 100) ** 1.5, rel=1e-4)
    assert ring.mesh(0.01).volume_mm3 == pytest.approx(4 / 3 * math.pi * 800**1.5, rel=2e-3)


def test_prism_with_a_hole_is_the_print_solids():
    outline = shapely.box(0, 0, 20, 10) - shapely.box(5, 3, 9, 7)
    for kind in (ExactSolid, PrintSolid):
        made = kind.prism(outline, -2, 3)
        assert made.volume_mm3 == pytest.approx((200 - 16) * 5)
        assert made.bounds == pytest.approx(np.array([[0, 0, -2], [20, 10, 3]]), abs=1e-6)


def test_raised_stands_off_the_face():
    """A mark of 0.8 relief on a plate adds its area times 0.8, on either kind of solid."""

    class Bare:
        pass

    plate = cq.Solid.makeBox(100, 100, 4).wrapped
    outline = shapely.box(-10, -4, 10, 4) - shapely.box(-5, -2, 5, 2)
    frame = frame_on(np.array([50.0, 50.0, 4.0]), np.array([0.0, 0.0, 1.0]))
    bare = Bare()
    for solid in (ExactSolid(plate), PrintSolid.box([0, 0, 0], [100, 100, 4])):
        bare.wall, bare.block = solid, PrintSolid.box([0, 0, 0], [100, 100, 40])
        made = solid.raised(outline, frame, 0.8, bare)
        assert made.volume_mm3 == pytest.approx(40000 + 0.8 * outline.area, rel=1e-6)
        assert len(made.pieces()) == 1 and made.bounds[1, 2] == pytest.approx(4.8)
        # Sides and lids share their edges with the face and with one another, and are distinguished.
        assert PrintSolid.of(made.mesh()).volume_mm3 == pytest.approx(40000 + 0.8 * outline.area, rel=1e-6)


def test_sunk_into_a_face():
    """Letters 0.8 deep take their area times 0.8 (closed form), on either kind of solid; a dot in a letter's hole."""
    outline = shapely.box(-10, -4, 10, 4) - shapely.box(-5, -2, 5, 2) | shapely.box(-1, -1, 1, 1)
    frame = frame_on(np.array([50.0, 50.0, 0.0]), np.array([0.0, 0.0, -1.0]))
    for solid in (ExactSolid(cq.Solid.makeBox(100, 100, 4).wrapped), PrintSolid.box([0, 0, 0], [100, 100, 4])):
        made = solid.sunk(outline, frame, 0.8)
        assert made.volume_mm3 == pytest.approx(40000 - 0.8 * outline.area, rel=1e-6)
        assert len(made.pieces()) == 1 and made.bounds == pytest.approx(np.array([[0, 0, 0], [100, 100, 4]]), abs=1e-6)
        assert PrintSolid.of(made.mesh()).volume_mm3 == pytest.approx(40000 - 0.8 * outline.area, rel=1e-6)
    exact = ExactSolid(cq.Solid.makeBox(100, 100, 4).wrapped).sunk(outline, frame, 0.8)
    assert exact.is_valid


@pytest.mark.parametrize("face", ["round", "ball"])
def test_raised_off_a_bent_face(face):
    """What is swept along z by 0.8 has its area in the x, y of the frame times 0.8, whatever face it stands on (closed
    form, Cavalieri); a letter with a hole, and a dot in the hole."""
    made = (cq.Solid.makeCylinder(60, 100, cq.Vector(0, 50, 0), cq.Vector(0, -1, 0)) if face == "round"
            else cq.Solid.makeSphere(60, cq.Vector(0, 0, 0), cq.Vector(0, 1, 0), -90, 90, 360))  # fmt: skip
    away = np.array([0.6, 0.0, 0.8])
    frame = frame_on(60 * away, away)
    outline = shapely.box(-9, -6, 9, 6) - shapely.box(-5, -4, 5, 4)
    outline |= shapely.Point(0, 0).buffer(1.5)
    before, after = ExactSolid(made.wrapped), ExactSolid(made.wrapped).raised(outline, frame, 0.8, None)
    assert after.is_valid and len(after.pieces()) == 1
    assert after.volume_mm3 - before.volume_mm3 == pytest.approx(0.8 * outline.area, rel=0.02)
    # The lid is the face moved by the relief: its middle is as far out as the dot's, to the sag of 1.5 mm on 60.
    assert frame.to_local(after.corners)[:, 2].max() == pytest.approx(0.8, abs=0.03)


def test_raised_beyond_the_face_is_refused():
    frame = frame_on(np.array([2.0, 15.0, 20.0]), np.array([0.0, 0.0, 1.0]))
    with pytest.raises(NotExact, match="does not lie on one face"):
        block().raised(shapely.box(-5, -2, 5, 2), frame, 0.8, None)


def test_moved_placed_mirrored_and_kept(tmp_path):
    frame = frame_on(np.array([5.0, 6.0, 7.0]), np.array([1.0, 0.0, 0.0]))
    made = block().placed(frame).moved((1, 0, 0)).mirrored_y()
    write_brep(made, tmp_path / "it.brep")
    back = read_brep(tmp_path / "it.brep")
    want = frame.to_world(np.array([[20.0, 15.0, 10.0]]))[0] + [1, 0, 0]
    assert back.bounds.mean(0) == pytest.approx(want * [1, -1, 1], abs=1e-6)
    assert back.volume_mm3 == pytest.approx(24000)
    with pytest.raises(FileNotFoundError):
        read_brep(tmp_path / "none.brep")
