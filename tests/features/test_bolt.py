"""A bolt's holes and ways take the standard's hardware, and its screw is as long as it must be."""

import manifold3d
import numpy as np
import pytest

from sections.building.tools import solid_mesh
from sections.features.bolt import Bolt
from sections.settings import Settings
from sections.solids.print_solid import PrintSolid
from sections.standards import fastener, insert

# mm: washer (ISO 7089 d2, largest h), knurled head (ISO 4762 dk, k), nut (ISO 4032 s, m), pitch (ISO 261).
M3 = {"washer": 7.0, "thick": 0.55, "head": 5.68, "high": 3.0, "nut": 5.5, "deep": 2.4, "pitch": 0.5}
M6 = {"washer": 12.0, "thick": 1.8, "head": 10.22, "high": 6.0, "nut": 10.0, "deep": 5.2, "pitch": 1.0}
SIZES = {"M3": M3, "M6": M6}


def choices(size="M3", thickness=6.0, height=24.0, **bolts):
    settings = Settings.model_validate(
        {
            "name": "any",
            "body": {"file": "any.stl", "units": "mm"},
            "bolts": {"size": size, **bolts},
            "flange": {"thickness": thickness, "height": height},
        }
    )
    return Bolt.choices(settings)


def drilled(bolt, side, thickness, back):
    """A block behind the seam on one side, as deep as flange and back, less all the bolt cuts there."""
    sign = -1 if side == "minus" else 1
    low, high = sorted((0.0, sign * (thickness + back)))
    block = PrintSolid.box(np.array([-20, -20, low]), np.array([20, 20, high]))
    tools = [tool for tool in bolt.tools() if tool.side == side]
    return block.cut([PrintSolid.of(solid_mesh(tool.solid, "tool", tool.deviation)) for tool in tools])


def bar(radius, low, high):
    made = manifold3d.Manifold.cylinder(high - low, radius, radius, 96).translate((0, 0, low))
    return PrintSolid(made)


@pytest.mark.parametrize("clearance", [0.1, 0.5, 3.0])
@pytest.mark.parametrize(("size", "height"), [("M3", 30.0), ("M6", 50.0)])
def test_washer_head_and_nut_come_through_the_back(size, height, clearance):
    """However little clearance is asked, washer, knurled head and nut, as wide as the standard lets them be, pass
    straight from behind the flange's back to the seat; what is 1 mm wider than the widest does not."""
    is_, thickness = SIZES[size], 8.0
    bolt = choices(size, thickness, height, seat_clearance=clearance)[0]
    assert (bolt.held, bolt.screw) == ("nut", "minus")
    for side, sign, wide in (("minus", -1, is_["head"]), ("plus", 1, is_["nut"] / np.cos(np.pi / 6))):
        block = drilled(bolt, side, thickness, bolt.back)
        far = thickness + bolt.back + 5
        for width in (is_["washer"], wide):
            ends = sorted((sign * (thickness + 0.02), sign * far))
            assert block.common(bar(width / 2, *ends)).volume_mm3 < 1e-6
        assert block.common(bar(bolt.way(side).radius + 0.5, *ends)).volume_mm3 > 10
        # The screw itself, from seam to seat.
        assert block.common(bar(fastener(size).diameter / 2, *sorted((0.0, sign * thickness)))).volume_mm3 < 1e-6


@pytest.mark.parametrize("thickness", [5.0, 6.0, 8.0])
@pytest.mark.parametrize("size", ["M3", "M4", "M6"])
def test_a_nut_is_gone_through_by_two_threads(size, thickness):
    """2 t + 2 washers + nut + 2 pitches is covered, and the next shorter screw of ISO 4762 does not."""
    row = fastener(size)
    bolt = choices(size, thickness, 50.0)[0]
    need = 2 * thickness + 2 * row.washer_thickest + row.nut_height + 2 * row.pitch
    lengths = [5, 6, 8, 10, 12, 16, 20, 25, 30, 35, 40, 45]
    assert bolt.length == min(x for x in lengths if x >= need)


@pytest.mark.parametrize("thickness", [5.0, 6.0, 8.0])
@pytest.mark.parametrize("size", ["M3", "M4", "M5"])
def test_a_screw_goes_through_its_insert_and_not_to_the_bottom(size, thickness):
    """With the thickest washer all of the insert is gone through; without any the hole still goes on."""
    row = fastener(size)
    held = [bolt for bolt in choices(size, thickness, 50.0) if bolt.held == "insert"]
    assert [bolt.insert for bolt in held[::2]] == list(insert(size).lengths)
    for bolt in held:
        assert bolt.length - thickness - row.washer_thickest >= bolt.insert
        assert bolt.depth > bolt.length - thickness
        other = "plus" if bolt.screw == "minus" else "minus"
        block = drilled(bolt, other, thickness, 20.0)
        # Its hole is the maker's drill, +0.10 and -0.00 (common practice, no source), and ends.
        sign = -1 if other == "minus" else 1
        ends = sorted((sign * 0.02, sign * (bolt.depth - 0.02)))
        assert block.common(bar(insert(size).hole / 2 - 0.01, *ends)).volume_mm3 < 1e-6
        assert block.common(bar(insert(size).hole / 2 + 0.05, *ends)).volume_mm3 > 0.5
        beyond = sorted((sign * (bolt.depth + 0.02), sign * (bolt.depth + 2.0)))
        assert block.common(bar(0.5, *beyond)).volume_mm3 == pytest.approx(np.pi * 0.25 * 1.98, rel=0.01)


def test_what_is_bought_has_its_length():
    """M3 through two flanges of 6: 12 + 1.1 + 2.4 + 1 = 16.5, so 20; into an insert of 5.7: 12.25, so 16."""
    nut, insert_ = (next(b for b in choices() if b.held == held) for held in ("nut", "insert"))
    assert nut.bought() == (
        "M3 x 20 socket head cap screw (ISO 4762)", "M3 washer (ISO 7089)", "M3 washer (ISO 7089)", "M3 nut (ISO 4032)",
    )  # fmt: skip
    assert insert_.bought() == (
        "M3 x 16 socket head cap screw (ISO 4762)", "M3 washer (ISO 7089)", "M3 x 5.7 heat-set insert",
    )  # fmt: skip


def test_without_inserts_there_are_none():
    assert {bolt.held for bolt in choices(inserts=False)} == {"nut"}
