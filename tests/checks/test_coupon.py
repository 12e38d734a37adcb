"""Test prints that fail their checks by a known amount, and just inside."""

import numpy as np
import pytest

from sections.building.tools import solid_mesh
from sections.checks.coupon import check_coupon
from sections.coupons import coupons_from_settings
from sections.numbers.frame import Frame
from sections.settings import Settings
from sections.solids.print_solid import PrintSolid
from tests.checks.test_checks_bite import bar, codes, measured
from tests.shared import coupons_of

# Built once, in one process.
pytestmark = pytest.mark.xdist_group("coupons")


@pytest.fixture(scope="module")
def coupon():
    """A test print with a round hole, and its mesh."""
    settings = Settings.model_validate({"name": "any", "body": {"file": "any.stl", "units": "mm"}})
    found = next(c for c in coupons_of(settings) if "dowel" in c.id)
    return found, PrintSolid.of(solid_mesh(found.solid, found.id, 0.005))


def test_as_made(coupon):
    assert codes(check_coupon(coupon[0], coupon[1].mesh())) == []


@pytest.mark.parametrize(("wider", "found"), [(0.05, True), (0.02, False)])
def test_hole(coupon, wider, found):
    """A hole drilled 0.05 or 0.02 mm wider across than it is marked; 0.03 may be off."""
    print_, solid = coupon
    hole = print_.holes[0]
    frame = Frame((*hole.centre, print_.top), (1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0))
    drill = bar(frame, (hole.across + wider) / 2, -3, 1, corners=256)
    result = check_coupon(print_, solid.cut([drill]).mesh())
    assert ("coupon-hole" in codes(result)) == found
    assert measured(result, "coupon-hole")[0] == pytest.approx(hole.across + wider, abs=0.01)


def test_filled_hole(coupon):
    print_, solid = coupon
    x, y = print_.holes[0].centre
    plug = PrintSolid.box(np.array([x - 4, y - 4, print_.top - 3]), np.array([x + 4, y + 4, print_.top]))
    assert "coupon-hole" in codes(check_coupon(print_, solid.unite([plug]).mesh()))


@pytest.fixture(scope="module")
def plate():
    """The plate that callipers go on, and its mesh."""
    settings = Settings.model_validate({"name": "any", "body": {"file": "any.stl", "units": "mm"}})
    found = next(c for c in coupons_of(settings) if c.id == "coupon-length")
    return found, PrintSolid.of(solid_mesh(found.solid, found.id, 0.005))


@pytest.mark.parametrize(("short", "found"), [(0.05, True), (0.02, False)])
def test_length(plate, short, found):
    """The x arm's end filed off by 0.05 or 0.02 mm; 0.03 may be off. The other lengths are as they were."""
    print_, solid = plate
    high = solid.bounds[1]
    filed = PrintSolid.box(np.array([high[0] - short, -1, -9]), high + [1.0, -100.0, 1.0])
    findings, measures = check_coupon(print_, solid.cut([filed]).mesh())
    assert [f.part for f in findings if f.code == "coupon-size"] == (["coupon-length:x-150"] if found else [])
    assert measured((findings, measures), "coupon-size")[0] == pytest.approx(30.0, abs=1e-3)


def test_length_that_is_not_there(plate):
    """The x arm broken off beyond its first step: nothing to put callipers on at 150."""
    print_, solid = plate
    high = solid.bounds[1]
    off = PrintSolid.box(np.array([50.0, -1, -9]), high + [1.0, -100.0, 1.0])
    findings, _ = check_coupon(print_, solid.cut([off]).mesh())
    assert "coupon-length:x-150" in [f.part for f in findings if f.code == "coupon-size"]


@pytest.mark.parametrize(("part", "found"), [(4e-3, True), (1e-3, False)])
def test_volume(coupon, part, found):
    """A corner of its foot cut off: 0.4 or 0.1 percent of the volume; 0.2 may be off, some of it the triangles'."""
    print_, solid = coupon
    low = solid.bounds[0]
    edge = (part * solid.volume_mm3) ** (1 / 3)
    corner = PrintSolid.box(low - 1, low + edge)
    result = check_coupon(print_, solid.cut([corner]).mesh())
    assert ("coupon-volume" in codes(result)) == found


_SLOW = [pytest.param(size, marks=pytest.mark.slow) for size in (120.0, 180.0, 400.0)]


@pytest.mark.parametrize("size", [95.0, 150.0, *_SLOW])
def test_small_beds(size):
    """On any bed the plate fits, its lengths are as drawn and no hole runs into another: 1 mm is left between them."""
    import shapely

    settings = Settings.model_validate(
        {"name": "any", "body": {"file": "any.stl", "units": "mm"}, "printer": {"bed": [size, size, size]}}
    )
    for print_ in coupons_of(settings):
        mesh = solid_mesh(print_.solid, print_.id)
        assert max(mesh.size[:2]) <= size - 10
        assert codes(check_coupon(print_, mesh)) == []
        discs = [shapely.Point(hole.centre).buffer(hole.across / 2) for hole in print_.holes if "slot" not in hole.name]
        if print_.id == "coupon-length":
            apart = [one.distance(two) for n, one in enumerate(discs) for two in discs[:n]]
            assert min(apart) > 1.0


@pytest.mark.parametrize(("flow", "reported"), [(10.0, []), (5.0, ["coupon-time"])])
def test_what_a_set_takes(flow, reported):
    """Plastic by the printer's flow and a moment between layers: half the flow makes more than 90 minutes of it."""
    from sections.coupons.estimate import estimate_of
    from sections.run.coupons import _takes

    data = {"name": "any", "body": {"file": "any.stl", "units": "mm"}, "printer": {"volumetric_flow": flow}}
    settings = Settings.model_validate(data)
    coupons = coupons_of(settings)
    volume = sum(print_.solid.Volume() for print_ in coupons)
    high = max(print_.solid.BoundingBox().zlen for print_ in coupons)
    takes = estimate_of(settings, coupons)
    assert takes.minutes == pytest.approx((volume / flow + high / 0.2 * 2.0) / 60)
    assert takes.grams == pytest.approx(volume * 1.27 / 1000)
    assert codes(_takes(settings, takes)) == reported


def test_a_bed_too_small():
    from sections.errors import BadInput

    data = {"name": "any", "body": {"file": "any.stl", "units": "mm"}, "printer": {"bed": [85.0, 85.0, 85.0]}}
    with pytest.raises(BadInput, match="printer.bed"):
        coupons_from_settings(Settings.model_validate(data))
