"""Test prints as designed, read off their exact solids: heights, leans, holes and marks by what the builder is told."""

import math

import cadquery as cq
import numpy as np
import pytest

from sections.coupons.bars import height_tower, length_plate
from sections.coupons.estimate import estimate_of
from sections.coupons.ladder import bolt_ladder, dowel_ladder, fits_around, key_ladder
from sections.coupons.sample import wall_sample
from sections.coupons.strip import flat_strip, label_strip, overhang_fins
from sections.settings import Settings


def settings_with(**tables):
    return Settings.model_validate({"name": "any", "body": {"file": "any.stl", "units": "mm"}} | tables)


SETTINGS = settings_with()


def cylinders(solid):
    """Return the radii of a solid's round faces, mm."""
    return sorted(
        {round(face._geomAdaptor().Cylinder().Radius(), 4) for face in solid.Faces() if face.geomType() == "CYLINDER"}
    )


def high_at(solid, x, y):
    """Return the lowest and the highest z, mm, of a solid on an upright line."""
    needle = cq.Solid.makeBox(0.1, 0.1, 400, cq.Vector(x - 0.05, y - 0.05, -200))
    box = solid.intersect(needle).BoundingBox()
    return box.zmin, box.zmax


def test_the_tower_is_as_high_as_its_treads_say():
    tower = height_tower(SETTINGS)
    sizes = {size.id: size for size in tower.sizes if size.kind == "height"}
    assert [size.asked for size in sizes.values()] == [10.0, 20.0, 30.0, 40.0]
    for size in sizes.values():
        low, high = high_at(tower.solid, size.start[0], 0.0)
        assert high - low == pytest.approx(size.asked, abs=1e-6)


@pytest.mark.parametrize("bed", [[300, 300, 300], [120, 120, 100]])
def test_the_plate_is_as_long_as_its_arms_say(bed):
    """Each arm ends where callipers are told it ends, and not before; the plate fits its bed."""
    settings = settings_with(printer={"bed": bed})
    plate = length_plate(settings)
    for size in plate.sizes:
        if size.kind in "xy":
            axis = "xy".index(size.kind)
            end, step = np.array(size.end), 0.05 * np.eye(3)[axis]
            assert plate.solid.isInside(cq.Vector(*(end - step)))
            assert not plate.solid.isInside(cq.Vector(*(end + step)))
    box = plate.solid.BoundingBox()
    assert max(box.xlen, box.ylen) <= min(bed[:2])


def test_fins_lean_as_they_are_marked():
    """Of faces that look down aslant, the angle from the upright is what stands beside them: by the faces' normals."""
    fins = overhang_fins(SETTINGS)
    down = [face.normalAt() for face in fins.solid.Faces() if face.geomType() == "PLANE" and face.Area() > 100]
    leans = sorted({round(math.degrees(math.asin(-way.z)), 3) for way in down if -0.99 < way.z < -0.3})
    assert leans == pytest.approx(sorted(fins.trials[0].values), abs=0.01)


def test_bolt_holes_are_iso_273():
    """ISO 273: M3 3.2, 3.4, 3.6; M5 5.3, 5.5, 5.8 (from memory; two libraries of fasteners agree)."""
    for size, holes in (("M3", [3.2, 3.4, 3.6]), ("M5", [5.3, 5.5, 5.8])):
        ladder = bolt_ladder(settings_with(bolts={"size": size}, flange={"height": 30, "thickness": 8}))
        assert cylinders(ladder.solid) == pytest.approx([hole / 2 for hole in holes])
        assert [hole.across for hole in ladder.holes] == pytest.approx(holes)


def test_dowel_holes_rise_by_a_step():
    ladder = dowel_ladder(SETTINGS)
    fits = ladder.ladders[0].fits
    assert np.diff(fits) == pytest.approx(np.full(len(fits) - 1, 0.05))
    radii = cylinders(ladder.solid)
    dowel = SETTINGS.dowels.diameter
    for fit in fits:
        assert any(radius == pytest.approx(dowel / 2 + fit, abs=1e-4) for radius in radii), fit


@pytest.mark.parametrize(("asked", "fits"), [
    (0.2, (0.1, 0.15, 0.2, 0.25, 0.3, 0.35)), (0.05, (0.0, 0.05, 0.1, 0.15, 0.2, 0.25)),
    (0.0, (0.0, 0.05, 0.1, 0.15, 0.2, 0.25)), (0.12, (0.02, 0.07, 0.12, 0.17, 0.22, 0.27)),
])  # fmt: skip
def test_a_ladder_lies_around_the_fit_asked_for(asked, fits):
    assert fits_around(asked) == pytest.approx(fits)


def test_the_wall_sample_has_the_wall_and_the_flange():
    wall = wall_sample(SETTINGS)
    for size, asked in zip(wall.sizes, (SETTINGS.wall.thickness, None), strict=True):
        if asked is not None:
            assert size.asked == pytest.approx(asked)
    assert wall.solid.BoundingBox().xlen == pytest.approx(SETTINGS.flange.height)


def test_every_print_is_sound_and_small():
    """One closed solid each, on any bed of 120 mm; none takes more than 40 g (common practice, no source)."""
    settings = settings_with(printer={"bed": [120, 120, 120]})
    for make in (
        length_plate,
        height_tower,
        dowel_ladder,
        key_ladder,
        bolt_ladder,
        wall_sample,
        flat_strip,
        label_strip,
    ):
        print_ = make(settings)
        box = print_.solid.BoundingBox()
        assert print_.solid.isValid() and len(print_.solid.Solids()) == 1, print_.id
        assert max(box.xlen, box.ylen) <= 120 - 2 * settings.printer.margin + 1e-6, print_.id
        assert print_.solid.Volume() * 1.24e-3 < 40, print_.id


def test_what_a_set_takes():
    """Grams are volume times density; minutes that volume at the printer's flow, and two seconds for each layer of
    0.2 mm of the highest."""
    settings = settings_with(printer={"volumetric_flow": 10.0}, material={"density": 1.0})
    strip = flat_strip(settings)
    takes = estimate_of(settings, (strip,))
    assert takes.grams == pytest.approx(strip.solid.Volume() / 1000)
    assert takes.minutes == pytest.approx((strip.solid.Volume() / 10 + strip.solid.BoundingBox().zlen / 0.2 * 2) / 60)
