"""Seams that were found go with the dimensions: held against what lies on either side of them, in closed form."""

import json
import math
import re
import tomllib

import numpy as np
import pytest

from sections.planning.moved_dimensions import dimensions_moved
from sections.planning.proposing import _proposal_text
from sections.planning.seam_search import FoundSeams
from sections.seaming.following_seams import FileAt, seam_place
from sections.settings import Given, load_settings
from tests.shared import command, quiet_pool

SCRIPT = """
import cadquery as cq


def body(length, high):
    return cq.Workplane("XY").box(length, 90, 10 * high, centered=(False, True, False)).edges("|X").chamfer(15)
"""
LONG, HIGH = 460.0, 70.0
FILE = f"""name = "bar"

[dimensions]
length = {LONG:g}
half = "length / 2"
high = {{ value = {HIGH / 10:g}, unit = "cm" }}
turn = {{ value = 0, unit = "deg" }}
slope = {{ value = 1, unit = "", least = 1, most = 1 }}

[body]
script = "bar.py:body"
units = "mm"

[seams]
mode = "auto"
planes = [{{ id = "x1", axis = "x", at = "half + 45" }}]

[[openings]]
id = "hatch"
kind = "box"
low = ["half - 25", -20, "high - 10"]
high = ["half + 25", 20, "high + 10"]

[output]
formats = ["stl"]

[printer]
bed = [230, 130, 130]
"""


@pytest.fixture(scope="module")
def found(tmp_path_factory):
    """The plan of a bar, what was said, and the seams as written."""
    folder = tmp_path_factory.mktemp("following")
    (folder / "bar.py").write_text(SCRIPT)
    (folder / "bar.toml").write_text(FILE)
    code, _, said = command("plan", folder / "bar.toml", "--out", folder / "out")
    assert code == 0, said
    text = (folder / "out" / "bar-plan" / "seams.toml").read_text()
    return folder, said, {row["id"]: row["at"] for row in tomllib.loads(text)["seams"]["planes"]}


def test_a_given_one_goes_as_it_is_given(found):
    """By half of what the length is more: x1 stands at half + 45."""
    assert found[2]["x1"] == f"{LONG / 2 + 45:g} + 0.5 * (length - {LONG:g})"


def test_one_that_was_found_keeps_its_share_of_the_way(found):
    """Short of the hatch between the body's end, which stays, and the hatch's, which goes by a half; beyond x1 between
    that and the far end, which goes by all."""
    _, said, seams = found
    others = {name: at for name, at in seams.items() if name != "x1"}
    assert others, said
    low, high = LONG / 2 - 25, LONG / 2 + 45
    for at in others.values():
        place, rate = map(float, re.fullmatch(rf"(\S+) \+ (\S+) \* \(length - {LONG:g}\)", at).groups())
        share = (
            0.5 * place / low if place < low else 0.5 if place < high else 0.5 + 0.5 * (place - high) / (LONG - high)
        )
        assert rate == pytest.approx(share, rel=1e-3), at


def test_what_does_not_move_them_is_left_out(found):
    """Neither the height nor an angle that turns nothing moves a seam across the length; what may not be changed is
    reported."""
    _, said, seams = found
    assert not any("high" in str(at) or "turn" in str(at) for at in seams.values())
    assert re.search(r"dimensions\.slope: no seam goes with it; changed a little it is refused: .*1\.01", said), said


def test_an_edit_moves_them_and_searches_nothing(found):
    """The seams named in `extends`, the bar 12 mm longer: the same sections, each seam where its expression has it."""
    folder, _, seams = found
    (folder / "longer.toml").write_text(
        f'extends = ["bar.toml", "out/bar-plan/seams.toml"]\nname = "longer"\n[dimensions]\nlength = {LONG + 12:g}\n'
    )
    places = {one.id: one.at for one in load_settings(folder / "longer.toml").seams.planes}
    assert places["x1"] == pytest.approx(LONG / 2 + 51)
    assert set(places) == set(seams) and all(place > 0 for place in places.values())
    code, _, said = command("plan", folder / "longer.toml", "--out", folder / "out")
    assert code == 0 and "finding seams" not in said, said
    plans = [json.loads((folder / "out" / f"{name}-plan" / "plan.json").read_text()) for name in ("bar", "longer")]
    assert len({tuple(section["id"] for section in plan["sections"]) for plan in plans}) == 1


@pytest.mark.parametrize(
    ("turn", "word", "rate"), [(30.0, "sin", 60.0), (80.0, "cos", -60 / math.tan(math.radians(80)))]
)
def test_an_angle(tmp_path, turn, word, rate):
    """A seam at half + 45 + 60 sin(turn): by the sine it goes 60 for 1, by the cosine -60 cot(turn), for a little. Two
    degrees further on, by the expression as by the file, to what bends in between."""
    file = FILE.replace('at = "half + 45"', 'at = "half + 45 + 60 * sin(turn)"').replace(
        "value = 0,", f"value = {turn},"
    )
    (tmp_path / "bar.py").write_text(SCRIPT)
    (tmp_path / "bar.toml").write_text(file)
    settings, given = load_settings(tmp_path / "bar.toml"), Given()
    moved = dimensions_moved(tmp_path / "bar.toml", given, settings, quiet_pool())
    at = seam_place(settings.seams.planes[0], FileAt(settings, np.zeros((2, 3))), moved, 3).strip('"')
    place, per_mm, found = re.fullmatch(
        rf"(\S+) \+ (\S+) \* \(length - 460\) (.*) \({word}\(turn\) - \S+\)", at
    ).groups()
    assert float(place) == pytest.approx(275 + 60 * math.sin(math.radians(turn)), abs=1e-3) and float(per_mm) == 0.5
    assert float(found.replace(" ", "").rstrip("*")) == pytest.approx(rate, rel=0.05)
    follows = file.replace('"half + 45 + 60 * sin(turn)"', f'"{at}"').replace(
        f"value = {turn},", f"value = {turn + 2},"
    )
    (tmp_path / "bar.toml").write_text(follows)
    there = load_settings(tmp_path / "bar.toml").seams.planes[0].at
    assert there == pytest.approx(275 + 60 * math.sin(math.radians(turn + 2)), abs=0.1)


@pytest.mark.parametrize("named", ['seams = ["x1", "x2"]', "gap = 4"])
def test_a_panel_cut_by_other_seams(tmp_path, named):
    """Its opening stands in another list of the file: what it is to name is said, also where it named none, and so
    would be cut by all that meet it."""
    (tmp_path / "bar.py").write_text(SCRIPT)
    rows = '{ id = "x1", axis = "x", at = 230 }, { id = "x2", axis = "x", at = 300 }'
    panel = f'high = ["half + 25", 20, "high + 10"]\nrim = {{}}\npanel = {{ {named} }}'
    text = re.sub(r"planes = .*", f"planes = [{rows}]", FILE).replace('high = ["half + 25", 20, "high + 10"]', panel)
    (tmp_path / "bar.toml").write_text(text.replace('mode = "auto"\n', ""))
    before = load_settings(tmp_path / "bar.toml")
    hatch = before.openings[0]
    for seams in (["x1"], []):
        cut = hatch.model_copy(update={"panel": hatch.panel.model_copy(update={"seams": seams})})
        after = before.model_copy(update={"openings": [cut]})
        for settings, is_said in ((before, False), (after, True)):
            written = _proposal_text(FileAt(before, np.zeros((2, 3))), FoundSeams(settings, 1, 1), list)
            line = f"\n# With these seams, opening hatch has panel.seams = {json.dumps(seams)}\n"
            assert (line in written) == is_said
            assert tomllib.loads(written)["seams"]["mode"] == "given"
