"""What is kept off, through the command: found where it is in the way, refused where the file is wrong."""

import json

import pytest

from tests.shared import command

TUBE = """
[[keepouts]]
id = "tube"
kind = "cylinder"
centre = [120, 0, {z}]
axis = [0, 1, 0]
radius = 10
length = 40
gap = 8
"""
WHEEL = """
[[wheels]]
id = "wheel"
tyre = "{tyre}"
centre = [120, 700, 100]
steer = 20
mirror = true
"""


def write(folder, more):
    path = folder / "brick.toml"
    path.write_text(path.read_text() + more)
    return path


@pytest.mark.parametrize(("z", "gap"), [(56.0, None), (80.0, 1)])
def test_a_tube_inside(brick_folder, z, gap):
    """Amid the brick nothing is near the tube; 10 mm below its roof at z = 100, wall and flanges are in its way."""
    parameters = write(brick_folder, TUBE.format(z=z))
    pictures = ("--pictures",) if gap else ()
    code, said, errors = command("build", parameters, "--out", brick_folder / "out", *pictures)
    found = json.loads((brick_folder / "out" / "brick" / "findings.json").read_text())["findings"]
    kept = [one for one in found if one["code"] == "keep-out"]
    assert (code, bool(kept)) == ((0, False) if gap is None else (1, True)), said + errors
    assert (brick_folder / "out" / "brick" / "pictures" / "keep-outs.png").exists() == bool(pictures)
    for one in kept:
        assert one["measured"] < one["limit"] == 8 and one["where"] is not None and "tube" in one["text"]


def planned(brick_folder, seams):
    """The findings of a plan, and what it said, with a tube, on the left alone, that keeps clear of walls and, below a
    seam at its middle, not of flanges."""
    text = (brick_folder / "brick.toml").read_text().replace('units = "mm"', 'units = "mm"\nsymmetric = true')
    start, stop = text.index("[seams]"), text.index("[[openings]]")
    tube = TUBE.format(z=60).replace("[120, 0,", "[120, -21,").replace("length = 40", "length = 8")
    text = f"{text[:start]}{seams}{text[stop:]}{tube}\n[printer]\nbed = [180, 180, 180]\n"
    (brick_folder / "brick.toml").write_text(text)
    _, _, said = command("plan", brick_folder / "brick.toml", "--out", brick_folder / "out")
    assert said.count("keep-out-gap:") == 1, "the nearest approach alone"
    return json.loads((brick_folder / "out" / "brick-plan" / "findings.json").read_text())["findings"], said


def test_a_plan_tells_of_seams_given(brick_folder):
    """The roof is at z = 100, a flange reaches 24 below it, and the tube's top is at 70: 6 of 8 mm are left."""
    found, _ = planned(brick_folder, '[seams]\nplanes = [{ id = "x1", axis = "x", at = 120 }]\n\n')
    kept = {one["part"]: one["measured"] for one in found if one["code"] == "keep-out"}
    assert set(kept) >= {"X0L", "X1L"} and min(kept.values()) == pytest.approx(6.0, abs=0.05)


def test_seams_are_found_clear_of_it(brick_folder):
    """The same tube, no seam given: nothing is nearer than asked, though seams are found for the right half."""
    found, _ = planned(brick_folder, "[seams]\nplanes = []\n\n")
    assert [one for one in found if one["level"] != "note"] == []


def test_what_trial_cuts_did_not_see_is_searched_again(brick_folder, monkeypatch):
    """With trial cuts blind to it, the first plan's seam comes too near, as carved; the last plan's does not."""
    monkeypatch.setattr("sections.seaming.keeping_off.KeepingOff.of", lambda settings, things: None)
    found, said = planned(brick_folder, "[seams]\nplanes = []\n\n")
    assert "searched again there" in said and [one for one in found if one["level"] != "note"] == []


@pytest.mark.parametrize(("more", "words"), [
    (WHEEL.format(tyre="big"), ["wheels[1].tyre", "205/55R16"]),
    (WHEEL.format(tyre="135/80R13") + "diameter = 560\nwidth = 150\n", ["wheels[1]", "`tyre` alone"]),
    (WHEEL.replace('tyre = "{tyre}"', "diameter = 560"), ["wheels[1]", "`diameter` and `width`"]),
    (WHEEL.replace('tyre = "{tyre}"', ""), ["wheels[1]", "`tyre` alone"]),
    (TUBE.format(z=100).replace("radius = 10", "radius = -1"), ["keepouts[1]", "radius"]),
    (TUBE.format(z=100).replace("axis = [0, 1, 0]", "axis = [0, 0, 0]"), ["keepouts[1].axis"]),
    (TUBE.format(z=100).replace('kind = "cylinder"', 'kind = "tube"'), ["keepouts[1]", "cylinder"]),
    ('\n[[keepouts]]\nid = "donor"\nkind = "solid"\nfile = "none.stl"\n', ["keepouts[1].file", "none.stl"]),
])  # fmt: skip
def test_mistakes(brick_folder, more, words):
    """Exit 2, the key, what would do; nothing written, nothing built first."""
    parameters = write(brick_folder, more)
    code, said, errors = command("build", parameters, "--out", brick_folder / "out")
    assert code == 2 and all(word in errors for word in words), said + errors
    assert "Traceback" not in errors and not (brick_folder / "out").exists()


def test_one_name_for_two(brick_folder):
    parameters = write(brick_folder, WHEEL.format(tyre="135/80R13") + TUBE.format(z=100).replace('"tube"', '"wheel"'))
    code, said, errors = command("build", parameters, "--out", brick_folder / "out")
    assert code == 2 and "wheels[1].id" in errors, said + errors


def test_a_scan_kept_off(brick_folder):
    """A closed mesh of the donor, away from everything: built without a finding."""
    import trimesh

    trimesh.creation.icosphere(3, 12.0).apply_translation((120, 0, 53)).export(brick_folder / "engine.stl")
    more = '\n[[keepouts]]\nid = "engine"\nkind = "solid"\nfile = "engine.stl"\n'
    code, said, errors = command("build", write(brick_folder, more), "--out", brick_folder / "out")
    assert code == 0, said + errors
