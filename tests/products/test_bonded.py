"""A bonded seam: dowels and keys, no bolt, and no finding for that; a seam that should be bolted is not let off."""

import shutil
from dataclasses import replace

import numpy as np
import pytest

from sections.checks.built_parts import CheckRules
from sections.checks.fit_bolt import check_bolt_pitch
from sections.checks.pair_faces import read_faces
from sections.measuring.reading import built_pair, plan_of
from sections.run.checking import check_output
from sections.settings import load_settings
from sections.settings.joint_line import flange_reach
from tests.shared import BRICK, build_quietly, quiet_pool

pytestmark = pytest.mark.xdist_group("bonded")


@pytest.fixture(scope="module")
def bonded(tmp_path_factory):
    """The brick in three, one seam bonded, built and checked: (settings, output folder, report)."""
    folder = tmp_path_factory.mktemp("bonded")
    shutil.copy(BRICK / "brick.py", folder)
    text = (
        (BRICK / "brick.toml")
        .read_text()
        .replace("at = 120 }", 'at = 80, bolted = false }, { id = "x2", axis = "x", at = 160 }')
    )
    (folder / "brick.toml").write_text(text)
    settings, out, body = build_quietly(folder / "brick.toml", folder / "out")
    return settings, out, check_output(settings, folder, out, quiet_pool(), body)


def test_no_finding(bonded):
    assert [str(finding) for finding in bonded[2].findings if finding.level != "note"] == []


def test_built_faces(bonded):
    """Across x1 the built faces hold no more holes than two dowels and the keys; across x2 there are bolts too."""
    _, out, _ = bonded
    plan = plan_of(out)
    for planned in plan.pairs:
        pair = built_pair(out, planned)
        kinds = [joint.joint.kind for joint in pair.joints]
        outline = pair.minus.face(pair.plane, pair.plane.frame())
        holes = sum(len(part.interiors) for part in outline.geoms)
        assert kinds.count("dowel") == 2 and kinds.count("key") >= 1
        assert ("bolt" in kinds) == (planned.seam == "x2")
        assert holes == len(kinds)


def test_a_bolted_seam_is_not_let_off(bonded):
    """The same pair measured against settings that ask for bolts there."""
    settings, out, _ = bonded
    pair = built_pair(out, next(p for p in plan_of(out).pairs if p.seam == "x1"))
    rules = CheckRules(settings, flange_reach(settings), {})
    assert check_bolt_pitch(pair, read_faces(pair), rules)[0] == []
    asked = load_settings(BRICK / "brick.toml")
    found = check_bolt_pitch(pair, read_faces(pair), replace(rules, settings=asked))[0]
    assert [finding.code for finding in found] == ["bolt-none"]


def test_bonded_where_there_is_no_room(bonded):
    """The pair without a bolt, on a seam that takes them where there is room: a note that says so, and no fault."""
    settings, out, _ = bonded
    pair = built_pair(out, next(p for p in plan_of(out).pairs if p.seam == "x1"))
    planes = [p.model_copy(update={"bolted": "room"}) if p.id == "x1" else p for p in settings.seams.planes]
    asked = settings.model_copy(update={"seams": settings.seams.model_copy(update={"planes": planes})})
    found = check_bolt_pitch(pair, read_faces(pair), CheckRules(asked, flange_reach(asked), {}))[0]
    assert [(finding.code, finding.level) for finding in found] == [("bonded", "note")]


@pytest.mark.parametrize(("least", "codes"), [(1.0, {"bolt-none"}), (0.999, {"bolt-none"}), (1.001, set())])
def test_a_short_face_is_held_by_its_neighbours(bonded, least, codes, monkeypatch):
    """The built face's longer side, by shapely, a little longer or shorter than what two sections are joined along."""
    _, out, _ = bonded
    pair = built_pair(out, next(p for p in plan_of(out).pairs if p.seam == "x1"))
    faces = read_faces(pair)
    corners = np.array(faces.shared.minimum_rotated_rectangle.exterior.coords)
    longer = np.linalg.norm(np.diff(corners, axis=0), axis=1).max()
    monkeypatch.setattr("sections.checks.pair_faces.shortest_run", lambda settings: least * longer)
    asked = load_settings(BRICK / "brick.toml")
    found = check_bolt_pitch(pair, faces, CheckRules(asked, flange_reach(asked), {}))[0]
    assert {finding.code for finding in found} == codes


@pytest.mark.parametrize(("wide", "bolted"), [(115, False), (170, True)])
def test_flanges_that_leave_a_hand_no_way(tmp_path, wide, bolted):
    """A tube 200 high, open at one end, two seams across it. From the end that is open then, hands come to the far seam
    past the near one's flanges, 4 + 24 mm each: between those 59 mm are left of 115, 114 of 170; a hand is 80 wide.
    Bonded as planned, or bolted: no hand is found to fail in the built parts."""
    (tmp_path / "tube.py").write_text(
        "import cadquery as cq\n\n\n"
        f"def body():\n    return cq.Workplane().box(760, {wide}, 200, centered=(False, True, True))\n"
    )
    seams = ", ".join(f'{{ id = "x{n}", axis = "x", at = {250 * n}, bolted = "room" }}' for n in (1, 2))
    end = f"low = [-10, {10 - wide / 2}, -90]\nhigh = [20, {wide / 2 - 10}, 90]"
    (tmp_path / "tube.toml").write_text(
        f'name = "tube"\n[body]\nscript = "tube.py:body"\nunits = "mm"\n[seams]\nplanes = [{seams}]\n'
        f'[[openings]]\nid = "end"\nkind = "box"\n{end}\n[output]\nformats = ["stl"]\n'
    )
    settings, out, body = build_quietly(tmp_path / "tube.toml", tmp_path / "out")
    report = check_output(settings, tmp_path, out, quiet_pool(), body)
    assert [str(one) for one in report.findings if one.level != "note"] == []
    kinds = {joint.joint.kind for joint in plan_of(out).joints if joint.id.startswith("x2:")}
    assert ("bolt" in kinds) == bolted and {"dowel", "key"} <= kinds
    said = [one.text for one in report.findings if one.code == "bonded" and one.part.startswith("x2:")]
    assert bolted or ("nobody gets in" in said[0] and 'bolted = "room"' not in said[0])
    build_quietly(tmp_path / "tube.toml", tmp_path / "alone", only="X2")
    assert (tmp_path / "alone" / "sections" / "X2.stl").read_bytes() == (out / "sections" / "X2.stl").read_bytes()
