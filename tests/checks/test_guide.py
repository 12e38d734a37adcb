"""Drill guides and clamp pads as built, put on the pod's sections, and parts that fail by known amounts."""

import shutil
from dataclasses import replace

import numpy as np
import pytest

from sections.checks.guide import BuiltGuide, check_guide
from sections.coupons.clamp import clamp_pad
from sections.numbers.frame import make_frame
from sections.numbers.mesh import Mesh
from sections.products.guides import placed_guides
from sections.settings.joint_line import flange_reach
from sections.solids.distance import MeshDistance
from sections.solids.print_solid import PrintSolid
from sections.solids.tessellate import tessellate
from sections.standards.bushes import bush_outer
from tests.checks.test_checks_bite import bar, block, codes
from tests.shared import POD, build_from

pytestmark = pytest.mark.xdist_group("guided")


@pytest.fixture(scope="module")
def guided(tmp_path_factory):
    folder = tmp_path_factory.mktemp("guided")
    shutil.copy(POD / "pod.py", folder)
    more = '\n[guides]\npairs = ["x1:X0R+X1R"]\n\n[clamps]\ncount = 6\n\n[output]\nformats = ["stl"]\n'
    (folder / "pod.toml").write_text((POD / "pod.toml").read_text() + more)
    return build_from(folder / "pod.toml", tmp_path_factory)


def on(guided, number=0, cut=(), add=(), shift=(0, 0, 0)):
    """Return (the guide, doctored; its section; the section's face)."""
    planned, mesh = placed_guides(guided.out)[number]
    solid = PrintSolid.of(mesh, "guide").unite(add).cut(cut).moved(np.array(shift, float))
    section = guided.section(planned.section)
    face = section.face(section.planes["x1"], planned.frame)
    joints = guided.plan.joints_across(planned.pair)
    return BuiltGuide(planned.id, solid.mesh(), planned.frame, joints), section, face


def judged(guided, made):
    guide, section, face = made
    return check_guide(guide, section, face, guided.truth.skin, guided.settings)


def read(result, name):
    return [m.value for m in result[1] if m.name == name]


def test_as_built(guided):
    assert [str(f) for f in guided.report.findings if f.level != "note"] == []
    guides = placed_guides(guided.out)
    assert [planned.section for planned, _ in guides] == ["X0R", "X1R"]
    holes = sum(joint.joint.kind in ("bolt", "dowel") for joint in guided.plan.joints_across("x1:X0R+X1R"))
    for number in (0, 1):
        result = judged(guided, on(guided, number))
        assert len(read(result, "guide-bore")) == holes
    pads = next(part for part in guided.manifest.parts if part.kind == "clamp")
    assert pads.count == 6


def test_the_drill_finds_the_holes(guided):
    """A drill of the hole's size, through the bore's own bush, 7 or 8 across (DIN 179 for 3.4 and 4.2, from memory),
    goes down the built section's hole and touches nothing."""
    assert (bush_outer(3.4), bush_outer(4.2)) == (7.0, 8.0)
    guide, section, _ = on(guided)
    for joint in guide.joints:
        hole = {"bolt": 3.4, "dowel": 4.2}.get(joint.joint.kind)
        if hole is None:
            continue
        frame = replace(guide.frame, origin=joint.frame.origin)
        bush = bar(frame, bush_outer(hole) / 2, 0.5, 8.0)
        assert guide.solid.common(bush).volume_mm3 < 0.5
        drill = bar(frame, hole / 2 - 0.1, -4.0, 20.0)
        assert section.solid.common(drill).volume_mm3 < 0.01 and guide.solid.common(drill).volume_mm3 == 0


def test_it_goes_on_one_way_only(guided):
    """Half a turn about the seam's normal, or turned over onto the other section: neither goes on, within 5 mm."""
    guide, section, face = on(guided)
    middle = guide.frame.to_world(np.array([[*face.centroid.coords[0], 0.0]]))[0]
    here = make_frame(middle, guide.frame.rotation)
    local = here.unplace(guide.mesh)
    turned = PrintSolid.of(here.place(Mesh(local.vertices * [-1, -1, 1], local.faces)))
    over = PrintSolid.of(here.place(Mesh(local.vertices * [1, -1, -1], local.faces)))
    other = guided.section("X1R")
    for shift in np.array([(0, y, z) for y in (-5, 0, 5) for z in (-5, 0, 5)], float):
        assert section.solid.common(turned.moved(shift)).volume_mm3 > 200
        assert other.solid.common(over.moved(shift)).volume_mm3 > 200


def test_a_guide_pushed_aside(guided):
    """0.3 mm along y: its bores are off by as much, its lip in the skin, and it does not slide on either."""
    result = judged(guided, on(guided, shift=(0.0, -0.3, 0.0)))
    assert {"guide-bore-off", "guide-clash", "guide-way-on"} <= set(codes(result))
    assert max(read(result, "guide-bore-off")) == pytest.approx(0.3, abs=0.01)


def test_a_lip_filed_away(guided):
    """0.4 off the inner side of the lip, along the pod's flat side, 120 out: the gap there is 0.6 for 0.2."""
    planned, _ = placed_guides(guided.out)[0]
    filed = PrintSolid.box(np.array([190.0, 119.0, 80.0]), np.array([205.0, 120.6, 120.0]))
    result = judged(guided, on(guided, cut=[filed]))
    assert codes(result) == ["guide-lip-most"]
    assert read(result, "guide-lip-most") == [pytest.approx(0.6, abs=0.01)]


def test_a_bore_too_wide(guided):
    """One of 7.1 drilled out to 8.0."""
    guide, _, _ = on(guided)
    bolt = next(joint for joint in guide.joints if joint.joint.kind == "bolt")
    drill = bar(replace(guide.frame, origin=bolt.frame.origin), 4.0, -1.0, 9.0)
    result = judged(guided, on(guided, cut=[drill]))
    assert codes(result) == ["guide-bore"]
    assert max(read(result, "guide-bore")) > 7.95


def test_a_bore_left_out(guided):
    guide, _, _ = on(guided)
    bolt = next(joint for joint in guide.joints if joint.joint.kind == "bolt")
    plug = bar(replace(guide.frame, origin=bolt.frame.origin), 5.0, 0.1, 7.9)
    assert "guide-bore-off" in codes(judged(guided, on(guided, add=[plug])))


def test_a_guide_that_stands_on_a_crumb(guided):
    """Lifted by 1 mm it rests on nothing; with what is inside its lip cut off it goes on either way round."""
    assert "guide-rests" in codes(judged(guided, on(guided, shift=(1.0, 0, 0))))
    guide, _, _ = on(guided)
    flat = block(guide.frame, [-500, -500, -40], [500, 500, 0])
    assert "guide-turned" in codes(judged(guided, on(guided, cut=[flat])))


def test_clamp_pads(guided):
    """Two wedges on the backs of the flanges between bolts: they lie on the slopes, clear the wall by 3 mm, and their
    outer faces are square to the clamp's pull."""
    pad = tessellate(clamp_pad(guided.settings).wrapped, 0.01, "pad").mesh
    wall, height = guided.settings.wall.thickness, guided.settings.flange.height
    rise = height - wall - 3.0  # at 45 deg
    thick = guided.settings.flange.thickness + rise + 3.0
    assert np.ptp(pad.vertices[:, 2]) == pytest.approx(3.0 + rise)
    # On the flat side of the pod, 120 out, z 100; x1 is at 205. Its x is depth below the skin: toward the middle.
    for name, side in (("X0R", -1), ("X1R", 1)):
        section = guided.section(name)
        axes = np.column_stack([[0, -1.0, 0], [0, 0, side], [-side, 0, 0]])
        frame = make_frame(np.array([205.0 + side * thick, 120.0, 100.0]), axes)
        placed = PrintSolid.of(frame.place(pad))
        assert section.solid.common(placed).volume_mm3 < 0.5
        assert section.solid.gap_to(placed, 5.0) < 0.02, "it lies on the slope"
        nearer = placed.moved(np.array([-side * 0.2, 0, 0]))
        assert section.solid.common(nearer).volume_mm3 > 20
        inner = MeshDistance(placed.mesh()).unsigned(np.array([[205.0 + side * (thick - 1.0), 120.0 - wall, 100.0]]))
        assert inner[0] == pytest.approx(3.0, abs=0.02), "clear of the wall's inner face"
    assert flange_reach(guided.settings) == pytest.approx(guided.settings.flange.thickness + height - wall)
