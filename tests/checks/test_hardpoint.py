"""Hardpoints: one of each kind as built, and parts that fail by known amounts."""

import shutil
from dataclasses import replace

import numpy as np
import pytest

from sections.checks.boss import check_bosses
from sections.checks.hardpoint import check_hardpoints, tool_spaces
from sections.checks.keep_out import check_keep_outs
from sections.features.hardpoint import hardpoint_of
from sections.solids.print_solid import PrintSolid
from tests.checks.test_checks_bite import bar, block, codes, doctored, measured
from tests.shared import POD, build_from

pytestmark = pytest.mark.xdist_group("mounts")

POINTS = """
[[hardpoints]]
id = "mount"
at = [110.0, 50.0, 150.0]
axis = [0.0, 0.0, -1.0]
bolt = "M6"
load = 250
side_load = 60
travel = 5
along = [1, 0, 0]
mirror = true

[[hardpoints]]
id = "pull"
at = [310.0, 28.0, 150.0]
insert = "M5"
load = 250
side_load = 60

[[hardpoints]]
id = "plain"
at = [310.0, -40.0, 165.0]
bolt = "M4"
gusset = false

[material]
allowable_stress = 8.0

[output]
formats = ["stl"]
"""


@pytest.fixture(scope="module")
def mounts(tmp_path_factory):
    folder = tmp_path_factory.mktemp("mounts")
    shutil.copy(POD / "pod.py", folder)
    (folder / "pod.toml").write_text((POD / "pod.toml").read_text().partition("[[bosses]]")[0] + POINTS)
    return build_from(folder / "pod.toml", tmp_path_factory)


def carrier(built, name):
    planned = next(boss for boss in built.plan.bosses if boss.id == name)
    return built.section(planned.section), planned


def judged(built, part):
    return check_hardpoints(part, built.truth, built.rules)


def read(result, name, part):
    return next(m.value for m in result[1] if m.name == name and m.part == part)


def faults(result):
    """Return the codes of findings, notes left out: what hangs over depends on how the section lies."""
    return sorted({finding.code for finding in result[0] if finding.level != "note"})


def test_as_built(mounts):
    faults = [str(finding) for finding in mounts.report.findings if finding.level != "note"]
    assert faults == []
    assert {"mount", "mount-mirrored", "pull", "plain"} == {boss.id for boss in mounts.plan.bosses}
    assert {finding.part for finding in mounts.report.findings if finding.code == "hardpoint-support"} <= {
        "plain",
        "pull",
    }


def test_bought(mounts):
    assert {(b.item, b.count) for b in mounts.manifest.bought} >= {
        ("M6 nut (ISO 4032)", 2), ("M6 washer (ISO 7089)", 2), ("M5 x 9.5 heat-set insert", 1),
        ("M4 nut (ISO 4032)", 1), ("M4 washer (ISO 7089)", 1)}  # fmt: skip


def test_an_insert_s_pillar_against_the_round_bar(mounts):
    """Pull / area + side x arm / (pi d^3 / 32), the arm the whole height (any book on strength, from memory)."""
    part, planned = carrier(mounts, "pull")
    boss = planned.boss
    expected = 250 / (np.pi * boss.outer**2 / 4) + 60 * boss.height / (np.pi * boss.outer**3 / 32)
    assert read(judged(mounts, part), "hardpoint-stress", "pull") == pytest.approx(expected, rel=0.02)
    assert expected <= 8.0
    thinner = boss.outer - 0.5
    least = 2 * 7.1  # twice the insert's diameter: makers' practice
    assert thinner < least or 250 / (np.pi * thinner**2 / 4) + 60 * boss.height / (np.pi * thinner**3 / 32) > 8.0


def test_a_nut_and_its_washer_slide_in(mounts):
    """An M6 nut of ISO 4032, 10 across flats and 5.2 high, and a washer of ISO 7089, 12 wide and 1.8 at most, anywhere
    along the channel and the slot; the bolt, 6 thick, anywhere along the slot."""
    part, planned = carrier(mounts, "mount")
    channel = planned.boss.channel
    turns = np.arange(6) * np.pi / 3
    hexagon = 10 / 2 / np.cos(np.pi / 6) * np.column_stack([np.cos(turns), np.sin(turns)])
    below = channel.lip + channel.high + 0.2
    nut = [(x, y, z) for x, y in hexagon for z in (-below - 5.2, -below)]
    for along in (-5.0, 0.0, 5.0, 12.0, 40.0):
        placed = PrintSolid.hull(planned.frame.to_world(np.array(nut) + [along, 0, 0]))
        assert part.solid.common(placed).volume_mm3 == 0, along
        washer = bar(replace_origin(planned.frame, along), 6.0, -channel.lip - 1.95, -channel.lip - 0.15)
        assert part.solid.common(washer).volume_mm3 == 0, along
    for along in (-5.0, 0.0, 5.0):
        bolt = bar(replace_origin(planned.frame, along), 3.0, -16.0, 10.0)
        assert part.solid.common(bolt).volume_mm3 == 0
    assert part.solid.common(bar(replace_origin(planned.frame, 5.6), 3.0, -2.0, 0.0)).volume_mm3 > 0, "no further"


def replace_origin(frame, along):
    return replace(frame, origin=tuple(frame.to_world(np.array([[along, 0.0, 0.0]]))[0]))


def test_the_gusset_prints(mounts):
    """By another library's normals: nothing on the outside of the standoff hangs over by more than 45 deg; without its
    gusset the same standoff does."""
    import trimesh

    part, planned = carrier(mounts, "mount")
    assert planned.boss.gusset > 0
    # The first millimetre below the mouth, half of the standoff round: 28 mm of it at most.
    assert read(judged(mounts, part), "hardpoint-support", "mount") < 20.0
    bare = replace(planned, boss=replace(planned.boss, gusset=0.0))
    rib = PrintSolid.hull(planned.frame.to_world(planned.boss.gusset_corners()))
    ends = [bar(replace_origin(planned.frame, x), planned.boss.outer / 2, -planned.boss.height, 0.0) for x in (-5, 5)]
    stem = PrintSolid.hull(np.vstack([end.corners for end in ends]))
    doctor = doctored(part, cut=[rib.cut([stem])])
    stripped = replace(doctor, bosses=(bare,))
    hanging = read(judged(mounts, stripped), "hardpoint-support", "mount")
    mesh = trimesh.Trimesh(stem.mesh().vertices, stem.mesh().faces)
    up = np.array(part.planned.pose.z)
    side = mesh.area_faces[(mesh.face_normals @ up < -np.sin(np.radians(46)))].sum()
    assert hanging == pytest.approx(side, rel=0.35), "the lower eighth or so of a level bar"
    assert "hardpoint-support" in codes(judged(mounts, stripped))


@pytest.mark.parametrize(("by", "found"), [(0.04, []), (0.2, ["hardpoint-face"])])
def test_a_mouth_worn_down(mounts, by, found):
    part, planned = carrier(mounts, "pull")
    worn = doctored(part, cut=[block(planned.frame, [-20, -20, -by], [20, 20, 1])])
    assert faults(judged(mounts, worn)) == found


def test_a_slot_filled_at_its_end(mounts):
    part, planned = carrier(mounts, "mount")
    filled = doctored(part, add=[block(planned.frame, [6.0, -3, -3], [9, 3, 0])])
    result = judged(mounts, filled)
    assert "hardpoint-travel" in codes(result)
    assert read(result, "hardpoint-travel", "mount") == pytest.approx(6.0, abs=0.01)


def test_a_channel_too_narrow(mounts):
    part, planned = carrier(mounts, "mount")
    channel = planned.boss.channel
    low, high = -channel.depth, -channel.lip - channel.high
    tight = doctored(part, add=[block(planned.frame, [-12, 4.9, low], [9, 6, high])])
    result = judged(mounts, tight)
    assert codes(result) == ["hardpoint-nut-way-in", "hardpoint-nut-width"]
    assert read(result, "hardpoint-nut-width", "mount") == pytest.approx(4.9 + 5.25, abs=0.01)


def test_a_channel_too_narrow_for_its_washer(mounts):
    """A strip 0.5 into the washer's groove, 12.5 wide, on one side: 12.0 are left."""
    part, planned = carrier(mounts, "mount")
    channel = planned.boss.channel
    tight = doctored(part, add=[block(planned.frame, [-12, 5.75, -channel.lip - channel.high], [9, 7, -channel.lip])])
    result = judged(mounts, tight)
    assert "hardpoint-washer-width" in codes(result)
    assert read(result, "hardpoint-washer-width", "mount") == pytest.approx(12.0, abs=0.01)


def test_a_channel_closed(mounts):
    part, planned = carrier(mounts, "mount")
    channel = planned.boss.channel
    plug = block(planned.frame, [13, -6, -channel.depth], [15, 6, -channel.lip])
    assert {"hardpoint-nut-way-in", "hardpoint-washer-way-in"} <= set(codes(judged(mounts, doctored(part, add=[plug]))))


@pytest.mark.parametrize(("by", "found"), [(0.03, []), (1.0, ["hardpoint-lip"])])
def test_a_lip_thinned_from_below(mounts, by, found):
    part, planned = carrier(mounts, "mount")
    lip = planned.boss.channel.lip
    thin = doctored(part, cut=[block(planned.frame, [-11, -6, -lip - 0.1], [14, 6, -lip + by])])
    assert codes(judged(mounts, thin)) == found


def test_a_pillar_turned_down(mounts):
    """Half as thick half-way down: the stress is that of the thin bar there."""
    part, planned = carrier(mounts, "pull")
    boss = planned.boss
    ring = bar(planned.frame, 30, -24.0, -20.0).cut([bar(planned.frame, boss.outer / 4, -25.0, -19.0)])
    result = judged(mounts, doctored(part, cut=[ring]))
    thin = boss.outer / 2
    expected = 250 / (np.pi * thin**2 / 4) + 60 * 24 / (np.pi * thin**3 / 32)
    assert "hardpoint-stress" in codes(result)
    assert read(result, "hardpoint-stress", "pull") == pytest.approx(expected, rel=0.08)


def test_more_load_than_it_was_sized_for(mounts):
    part, planned = carrier(mounts, "mount")
    heavy = replace(part, bosses=(replace(planned, boss=replace(planned.boss, load=700.0)),))
    assert codes(judged(mounts, heavy)) == ["hardpoint-bearing"]
    part, planned = carrier(mounts, "pull")
    heavy = replace(part, bosses=(replace(planned, boss=replace(planned.boss, load=980.0, side=0.0)),))
    assert faults(judged(mounts, heavy)) == ["hardpoint-pull-out"]


def test_wall_left_round_hole_and_slot(mounts):
    for name in ("mount", "pull"):
        part, planned = carrier(mounts, name)
        boss = planned.boss
        left = measured(check_bosses(replace(part, bosses=(planned,)), mounts.truth, mounts.rules), "boss-wall")
        assert left == [pytest.approx((boss.outer - boss.hole) / 2, abs=0.03)]


def test_something_in_the_socket_s_way(mounts):
    """A shelf 30 mm in front of the mouth, 3 mm from the bolt's axis: the socket is 15 wide (1.5 x 10)."""
    part, planned = carrier(mounts, "mount")
    spaces = tool_spaces(mounts.plan, mounts.settings)
    clear = replace(mounts.truth, keep_outs=spaces)
    assert codes(check_keep_outs(part, clear, mounts.rules)) == []
    shelf = block(planned.frame, [3.0, -20, 28], [60, 20, 32])
    result = check_keep_outs(doctored(part, add=[shelf]), clear, mounts.rules)
    assert codes(result) == ["keep-out"]
    assert min(m.value for m in result[1]) == pytest.approx(3.0 - 7.5, abs=0.1)


def test_boss_rules_at_their_limits():
    """The lip takes the load on two planes as long as the washer: 3 mm or more; the cheeks are 3 mm or more."""
    from sections.settings.bosses import Hardpoint

    def made(**more):
        return hardpoint_of(Hardpoint(id="a", at=[0, 0, 0], bolt="M6", **more), 40.0, 4.0, 8.0)

    assert made(load=100.0).channel.lip == 3.0
    assert made(load=400.0).channel.lip == pytest.approx(np.ceil(4000 / (2 * 12 * 8 / np.sqrt(3))) / 10)
    assert made().outer == 12 + 0.5 + 6
    wider = made(side_load=150.0)
    assert wider.stress(40.0) <= 8.0 < replace(wider, outer=wider.outer - 0.5).stress(40.0)
    assert hardpoint_of(Hardpoint(id="a", at=[0, 0, 0], bolt="M6", side_load=90000.0), 40.0, 4.0, 1.0) is None
