"""What the search minds as a build does: skin that runs along a seam, so near that all behind it is flange; the feet of
bosses."""

from dataclasses import replace

import numpy as np
import pytest

from sections.body import load_body
from sections.body.visible_skin import shown_skin
from sections.features.boss import BossShape
from sections.planning.gaps import Gaps, gaps_of
from sections.planning.make_plan import make_plan
from sections.planning.replanning import _looked_at
from sections.planning.seam_search import FoundSeams, _parts
from sections.results.scratch import Scratch
from sections.seaming.trial import rules_of, trial_shell
from sections.settings.joints import SeamWeights
from sections.settings.load import load_settings
from sections.solids.print_solid import PrintSolid
from tests.run.test_plan import write_box
from tests.shared import quiet_pool

ONLY = SeamWeights(length=0, shallow=0, along=0, all_flange=1, narrow=0, offset=0, curved=0, uneven=0)


@pytest.mark.parametrize(("underside", "off", "thick"), [
    (45, 27.0, 24.0), (45, 31.5, 4.0), (60, 40.0, 10.3), (60, 46.0, 4.0), (30, 25.0, 15.8), (30, 31.5, 4.0),
])  # fmt: skip
def test_a_roof_along_a_seam(tmp_path, underside, off, thick):
    """A flange 24 high and 6 thick: at a depth d below the skin its back reaches 6 + (24 - d) tan(underside) off the
    seam. Behind the middle of a roof `off` from it there is plastic where that is more than off - d, and the wall of 4:
    at 45 degrees all of 24 or none, at 60 down to (47.6 - off) / 0.732, at 30 from (off - 19.9) / 0.423 to 24. The
    search counts the roof, 240 x 240, as beside the seam where there is more than the wall, and else not."""
    flange = f"[flange]\nback_angle = {underside}\n"
    settings = load_settings(write_box(tmp_path, (240, 240, 100), [("z", 1, 100 - off)], flange))
    body = load_body(settings, tmp_path)
    scratch = Scratch(tmp_path / "scratch")
    scratch.folder.mkdir()
    planned = make_plan(settings, body, scratch, quiet_pool())
    above = PrintSolid.of(planned.blanks["Z1"].load_wall(scratch), "Z1")
    column = above.common(PrintSolid.box(np.array([110.0, 110.0, 0.0]), np.array([130.0, 130.0, 200.0])))
    assert column.volume_mm3 / 400 == pytest.approx(thick, abs=0.3)
    skin = shown_skin(body)
    rules = replace(rules_of(settings, body, (), skin, np.full((1, 3), 500.0)), weights=ONLY)
    shell = trial_shell(skin, rules.depths)
    plane = planned.plan.seams[0].plane
    price = rules.price(shell, shell.split(plane, rules.depths), plane)
    assert price == pytest.approx((240 / rules.bed) ** 2 if thick > 4 else 0.0, abs=1e-6)


@pytest.mark.parametrize("tall", [15.0, 30.0])
def test_a_boss_keeps_its_foot_clear(tmp_path, tall):
    """A build wants a boss's foot and the flange's thickness between its axis and a seam, the foot being as wide as it
    is asked for once the boss is that high. The search keeps at least as much off both ends of the axis."""
    more = f'[[bosses]]\nid = "one"\nat = [150, 150, {100 - tall}]\naxis = [0, 0, -1]\ninsert = "M4"\nbase_cone = 4\n'
    settings = load_settings(write_box(tmp_path, (300, 300, 100), [], more))
    body = load_body(settings, tmp_path)
    rules = rules_of(settings, body, (), shown_skin(body), np.full((1, 3), 500.0))
    needed = BossShape.of(settings.bosses[0], tall, settings.wall.thickness).spread + settings.flange.thickness
    assert needed > 4 + 2 + settings.flange.thickness
    assert len(rules.clear) == 2 and (rules.clear[:, 3] >= needed).all()


@pytest.mark.parametrize("lean", [0, 25, 40])
def test_a_leaning_boss_stands_where_its_axis_says(tmp_path, lean):
    """A mouth 40 below the roof; its axis, t off the vertical, meets the wall of 4 after 36 / cos t, and is amid it 2
    further on. Not where the skin is nearest to the mouth: 31 mm off at 40 degrees."""
    sine, cosine = np.sin(np.radians(lean)), np.cos(np.radians(lean))
    more = f'[[bosses]]\nid = "one"\nat = [150, 150, 60]\naxis = [{-sine}, 0, {-cosine}]\ninsert = "M4"\n'
    settings = load_settings(write_box(tmp_path, (300, 300, 100), [], more))
    body = load_body(settings, tmp_path)
    rules = rules_of(settings, body, (), shown_skin(body), np.full((1, 3), 500.0))
    along = 36 / cosine + 2
    ends = np.array([[150, 150, 60], [150 + along * sine, 150, 60 + along * cosine]])
    # The wall is looked for every quarter of a millimetre.
    assert np.abs(rules.clear[:, :3] - ends).max() < 0.3


@pytest.mark.parametrize(("seam", "met"), [(185, True), (250, False)])
def test_tools_at_a_hardpoint(tmp_path, seam, met):
    """A hand 80 wide and 60 deep 45 in front of a mouth at z = 120: down to z = 15 and to x = 190. A seam's flange on
    the floor stands up to z = 24, 6 to either side: at x = 185 in its way. The places reported lie where both are, or
    on a bolt there."""
    more = '[[hardpoints]]\nid = "one"\nat = [150, 150, 120]\naxis = [0, 0, -1]\nbolt = "M6"\ntool_reach = 45\n'
    settings = load_settings(write_box(tmp_path, (300, 300, 160), [("x", 1, seam)], more))
    body, scratch = load_body(settings, tmp_path), Scratch(tmp_path / "scratch")
    scratch.folder.mkdir()
    planned = make_plan(settings, body, scratch, quiet_pool())
    found = gaps_of(settings, planned, (), scratch, quiet_pool()).findings
    assert bool(found) == met
    for one in found:
        x, y, z = one.where
        assert "tool-at-one" in str(one) and 165 <= x <= 200 and abs(y - 150) <= 41 and 14 <= z <= 25


FIXED = """
[keys]
kind = "fixed"
height = 4

[printer]
bed = [84, {}, 242]
margin = 0
"""


@pytest.mark.parametrize(("bed", "larger"), [(152, 1), (156, 0)])
def test_tongues_of_a_mirror_image(tmp_path, bed, larger):
    """A box of 240 x 300 x 80 halved along its centre plane, both halves 150 wide; 4 more on the one its tongues stand
    on, the left. In trial cuts, which are of the right half, that has room for them; and where only the left half is
    too large, the right one is reported to be, by what the left one lacks and 1 more, across the centre plane."""
    (tmp_path / "box.py").write_text(
        "import cadquery as cq\n\n\ndef body():\n    return cq.Workplane().box(240, 300, 80).val()\n"
    )
    text = 'name = "pod"\n[body]\nscript = "box.py:body"\nunits = "mm"\nsymmetric = true\n[seams]\nplanes = ['
    (tmp_path / "box.toml").write_text(text + '{ id = "y1", axis = "y", at = 0 }]\n' + FIXED.format(bed))
    settings = load_settings(tmp_path / "box.toml")
    body, scratch = load_body(settings, tmp_path), Scratch(tmp_path / "scratch")
    scratch.folder.mkdir()
    planned = make_plan(settings, body, scratch, quiet_pool())
    assert {one.id: round(sorted(one.size)[1], 1) for one in planned.plan.sections} == {"BODYR": 150.0, "BODYL": 154.0}
    found = _looked_at(FoundSeams(settings, 0, 0), planned, Gaps(), settings, scratch).troubles.larger
    assert len(found) == larger
    assert all(one.lack == pytest.approx(3.0, abs=0.1) and abs(one.along[1]) > 0.99 for one in found)
    skin = shown_skin(body)
    rules = rules_of(settings, body, (), skin, np.full((1, 3), 500.0))
    (part,) = _parts(settings, body, trial_shell(skin, rules.depths), rules)
    assert np.ptp(part.shell.points[:, 1]) == pytest.approx(154.0, abs=0.01)
