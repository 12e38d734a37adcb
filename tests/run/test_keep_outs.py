"""What is kept off, through the command: found where it is in the way, refused where the file is wrong."""

import json

import pytest

from tests.conftest import command

TUBE = """
[[keepouts]]
id = "tube"
kind = "cylinder"
centre = [210, 0, {z}]
axis = [0, 1, 0]
radius = 10
length = 60
gap = 8

[output]
formats = ["stl"]
"""
WHEEL = """
[[wheels]]
id = "wheel"
tyre = "{tyre}"
centre = [210, 700, 100]
steer = 20
mirror = true

[output]
formats = ["stl"]
"""


def write(folder, more):
    path = folder / "pod.toml"
    path.write_text(path.read_text().replace("formats = ", "#") + more)
    return path


@pytest.mark.parametrize(("z", "gap"), [(100.0, None), (180.0, 1)])
def test_a_tube_inside(pod_folder, z, gap):
    """Amid the pod nothing is near the tube; 10 mm below its roof at z = 200, wall and flanges are in its way."""
    parameters = write(pod_folder, TUBE.format(z=z))
    pictures = ("--pictures",) if gap else ()
    code, said, errors = command("build", parameters, "--out", pod_folder / "out", *pictures)
    found = json.loads((pod_folder / "out" / "pod" / "findings.json").read_text())["findings"]
    kept = [one for one in found if one["code"] == "keep-out"]
    assert (code, bool(kept)) == ((0, False) if gap is None else (1, True)), said + errors
    assert (pod_folder / "out" / "pod" / "pictures" / "keep-outs.png").exists() == bool(pictures)
    for one in kept:
        assert one["measured"] < one["limit"] == 8 and one["where"] is not None and "tube" in one["text"]


def planned(pod_folder, seams):
    """The findings of a plan with a tube, on the left alone, that keeps clear of walls and, below a seam at its middle,
    not of flanges."""
    text = (pod_folder / "pod.toml").read_text()
    start, stop = text.index("[seams]"), text.index("[[openings]]")
    tube = TUBE.format(z=160).replace("[210, 0,", "[210, -38,").replace("length = 60", "length = 30")
    text = f"{text[:start]}{seams}{text[stop:]}{tube}\n[printer]\nbed = [300, 300, 300]\n"
    (pod_folder / "pod.toml").write_text(text)
    _, _, said = command("plan", pod_folder / "pod.toml", "--out", pod_folder / "out")
    assert said.count("keep-out-gap:") == 1, "the nearest approach alone"
    return json.loads((pod_folder / "out" / "pod-plan" / "findings.json").read_text())["findings"]


def test_a_plan_tells_of_seams_given(pod_folder):
    """The roof is at z = 200, a flange reaches 24 below it, and the tube's top is at 170: 6 of 8 mm are left."""
    found = planned(pod_folder, '[seams]\nplanes = [{ id = "x1", axis = "x", at = 210 }]\n\n')
    kept = {one["part"]: one["measured"] for one in found if one["code"] == "keep-out"}
    assert set(kept) >= {"X0L", "X1L"} and min(kept.values()) == pytest.approx(6.0, abs=0.05)


def test_seams_are_found_clear_of_it(pod_folder):
    """The same tube, no seam given: nothing is nearer than asked, though seams are found for the right half."""
    found = planned(pod_folder, "[seams]\nplanes = []\n\n")
    assert [one for one in found if one["level"] != "note"] == []


def test_what_trial_cuts_did_not_see_is_searched_again(pod_folder, monkeypatch):
    """With trial cuts blind to it, the first plan's seam comes too near, as carved; the last plan's does not."""
    monkeypatch.setattr("sections.seaming.keeping_off.KeepingOff.of", lambda settings, things: None)
    assert [one for one in planned(pod_folder, "[seams]\nplanes = []\n\n") if one["level"] != "note"] == []


@pytest.mark.parametrize(("more", "words"), [
    (WHEEL.format(tyre="big"), ["wheels[1].tyre", "205/55R16"]),
    (TUBE.format(z=100).replace("radius = 10", "radius = -1"), ["keepouts[1]", "radius"]),
    (TUBE.format(z=100).replace("axis = [0, 1, 0]", "axis = [0, 0, 0]"), ["keepouts[1].axis"]),
    (TUBE.format(z=100).replace('kind = "cylinder"', 'kind = "tube"'), ["keepouts[1]", "cylinder"]),
    ('\n[[keepouts]]\nid = "donor"\nkind = "solid"\nfile = "none.stl"\n', ["keepouts[1].file", "none.stl"]),
])  # fmt: skip
def test_mistakes(pod_folder, more, words):
    """Exit 2, the key, what would do; nothing written, nothing built first."""
    parameters = write(pod_folder, more)
    code, said, errors = command("build", parameters, "--out", pod_folder / "out")
    assert code == 2 and all(word in errors for word in words), said + errors
    assert "Traceback" not in errors and not (pod_folder / "out").exists()


def test_one_name_for_two(pod_folder):
    parameters = write(pod_folder, WHEEL.format(tyre="135/80R13") + TUBE.format(z=100).replace('"tube"', '"wheel"'))
    text = parameters.read_text()
    parameters.write_text(text.replace('\n[output]\nformats = ["stl"]\n', "", 1))
    code, said, errors = command("build", parameters, "--out", pod_folder / "out")
    assert code == 2 and "wheels[1].id" in errors, said + errors


def test_a_scan_kept_off(pod_folder):
    """A closed mesh of the donor, away from everything: built without a finding."""
    import trimesh

    trimesh.creation.icosphere(3, 20.0).apply_translation((210, 0, 100)).export(pod_folder / "engine.stl")
    more = '\n[[keepouts]]\nid = "engine"\nkind = "solid"\nfile = "engine.stl"\n\n[output]\nformats = ["stl"]\n'
    code, said, errors = command("build", write(pod_folder, more), "--out", pod_folder / "out")
    assert code == 0, said + errors
