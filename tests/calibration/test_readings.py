"""Wrong and hostile readings through the real command: file, key, value, limit, what to change; nothing is written."""

import re

import pytest
from typer.testing import CliRunner

from sections.calibration.form import form_text
from sections.cli import app
from sections.settings import load_settings
from tests.shared import POD, command, coupons_of, real_command

LADDER = '["jams", "presses", "presses", "slides", "slides", "loose"]'


@pytest.fixture(scope="module")
def form():
    settings = load_settings(POD / "pod.toml")
    return form_text(settings, coupons_of(settings))


def filled(form, values):
    """Return the form with values in place of [], by the id of the row."""
    for name, value in values.items():
        form, count = re.subn(rf'(\{{ id = "{name}",[^\n]*= )\[\]( \}})', rf"\g<1>{value}\g<2>", form)
        assert count == 1, name
    return form


# what is filled in, what the message must name
ROWS = {
    "nothing": ({}, ["sizes", "at least one reading"]),
    "far off": ({"x-70": "[[76.0]]"}, ["sizes[2].read[1] (x-70)", "76", "68.6 to 71.4", "70 was drawn"]),
    "the next step": ({"x-70": "[[30.02]]"}, ["x-70", "30.02", "measure it again"]),
    "a comma": ({"x-30": "[[29,94]]"}, ["x-30", "29", "a comma parts two numbers: write 29.94"]),
    "negative": ({"x-30": "[[-29.9]]"}, ["x-30", "-29.9", "29.4 to 30.6"]),
    "zero": ({"hole-x-4": "[[0]]"}, ["hole-x-4", "0", "3.4 to 4.6"]),
    "inches": ({"x-150": "[[5.906]]"}, ["x-150", "5.906", "147 to 153"]),
    "micrometres": ({"x-30": "[[29940]]"}, ["x-30", "29940"]),
    "not a number": ({"x-30": "[[nan]]"}, ["x-30", "nan", "finite"]),
    "infinite": ({"x-30": "[[inf]]"}, ["x-30", "inf"]),
    "text": ({"x-30": '[["29.94"]]'}, ["x-30", "29.94", "a number, without quotes"]),
    "true": ({"x-30": "[[true]]"}, ["x-30", "True", "a number"]),
    "no list of prints": ({"x-30": "[29.94]"}, ["sizes[1].read[1] (x-30)", "29.94", "a list"]),
    "too deep": ({"x-30": "[[[29.94]]]"}, ["x-30", "a number"]),
    "an empty print": ({"x-30": "[[29.94], []]"}, ["read[2] (x-30)", "at least one reading for a print"]),
    "against one another": ({"x-70": "[[69.9, 70.4]]"}, ["x-70", "69.9 and 70.4", "within 0.25 mm"]),
    "lifts down": ({"flat": "[[-0.4]]"}, ["flat", "-0.4", "0 to 12"]),
    "no such word": ({"key": f"[{LADDER.replace('slides', 'slips')}]"}, ["(key)", "slips", "slides"]),
    "too few answers": ({"key": '[["jams", "slides"]]'}, ["(key)", "2", "6 answers", "10, 15, 20"]),
    "too many answers": ({"dowel": f"[{LADDER[:-1]}, \"loose\"]]"}, ["(dowel)", "7", "6 answers"]),
    "the wrong way round": (
        {"key": '[["loose", "slides", "slides", "presses", "jams", "jams"]]'},
        ["(key)", "10 loose, 25 presses", "not tighter"],
    ),
    "a rung far off": (
        {"slot": '[["slides", "slides", "slides", "slides", "jams", "loose"]]'}, ["(slot)", "0 slides, 20 jams"]
    ),
    "capitals": ({"key": f"[{LADDER.upper()}]"}, ["(key)", "JAMS", "'jams'"]),
    "a number for an answer": ({"key": "[[1, 2, 3, 4, 5, 6]]"}, ["(key)", "1", "'jams'"]),
    "no rung": ({"overhang": "[47]"}, ["(overhang)", "47", "40, 45, 50, 55"]),
    "a label of no height": ({"label": "[7.5]"}, ["(label)", "7.5", "10, 8, 6"]),
}  # fmt: skip

# what is changed in the text, what the message must name
TEXTS = {
    "no shrink": (lambda t: re.sub(r"\nshrink = .*\n", "\n", t), ["shrink", "given"]),
    "shrink in percent": (
        lambda t: t.replace("shrink = [0.0, 0.0", "shrink = [0.4, 0.0"),
        ["shrink[1]", "0.05 or less"],
    ),
    "no name": (lambda t: re.sub(r"\nmade_for = .*\n", "\n", t), ["made_for", "given"]),
    "no material": (lambda t: re.sub(r"\nmaterial = .*\n", "\n", t), ["material", "given"]),
    "another key": (lambda t: t.replace("read = [] }", "reads = [] }", 1), ["reads", "did you mean `read`"]),
    "another table": (lambda t: t.replace("trials = [", "trails = ["), ["trails", "did you mean `trials`"]),
    "another kind": (lambda t: t.replace('kind = "x"', 'kind = "w"', 1), ["kind", "w", "'height'"]),
    "a row twice": (lambda t: t.replace('id = "x-70"', 'id = "x-30"'), ["x-30", "each id once"]),
    "a mark lost": (
        lambda t: t.replace('marks = ["10", "15", ', 'marks = ["10", ', 1),
        ["fits", "each of the 5 marks"],
    ),
    "fits out of order": (lambda t: t.replace("fits = [0.1, 0.15, ", "fits = [0.15, 0.1, "), ["fits", "rising"]),
    "drawn negative": (lambda t: t.replace("asked = 30.0", "asked = -30.0", 1), ["asked", "-30", "0 or more"]),
    "not closed": (lambda t: t.replace("\n]\n", "\n", 1), ["TOML"]),
    "a parameter file": (
        lambda t: (POD / "pod.toml").read_text(),
        ["made_for", "given", "body", "a key of this file"],
    ),
    "no text": (lambda t: b"\xff\xfe\x00", ["UTF-8"]),
}


def refused(folder, text, words):
    """Give a file of readings to the command: it says each of the words, and leaves everything as it was."""
    path = folder / "mine.toml"
    path.write_bytes(text if isinstance(text, bytes) else text.encode())
    before = {p: p.read_bytes() for p in folder.rglob("*") if p.is_file()}
    arguments = ["calibrate", folder / "pod.toml", path, "--out", folder / "out", "--yes"]
    done = CliRunner().invoke(app, list(map(str, arguments)))
    error = done.output
    assert done.exit_code == 2, error
    assert isinstance(done.exception, SystemExit) and "mine.toml" in error
    for word in words:
        assert word in error, (word, error)
    assert {p: p.read_bytes() for p in folder.rglob("*") if p.is_file()} == before


@pytest.mark.parametrize("name", ROWS)
def test_rows(name, form, pod_folder):
    values, words = ROWS[name]
    refused(pod_folder, filled(form, values), words)


@pytest.mark.parametrize("name", TEXTS)
def test_texts(name, form, pod_folder):
    change, words = TEXTS[name]
    refused(pod_folder, change(filled(form, {"x-30": "[[29.94]]"})), words)


def test_trials_alone(pod_folder):
    """A file with nothing but what was tried from easy to hard says that much, and ends well."""
    rows = '[[trials]]\nid = "overhang"\nvalues = [40, 45, 50]\nsaid = [45]\n'
    (pod_folder / "mine.toml").write_text(f'made_for = "pod"\nmaterial = "PETG"\nshrink = [0.0, 0.0, 0.0]\n{rows}')
    arguments = ["calibrate", pod_folder / "pod.toml", pod_folder / "mine.toml", "--out", pod_folder / "out"]
    done = CliRunner().invoke(app, list(map(str, arguments)))
    assert done.exit_code == 0, done.output
    assert "overhang: good to 45" in done.output


def test_all_at_once(form, pod_folder):
    """Three mistakes, three messages."""
    text = filled(form, {"x-30": "[[35.0]]", "y-70": "[[1.0]]", "key": '[["jams"]]'})
    refused(pod_folder, text, ["(x-30)", "(y-70)", "(key)"])


@pytest.mark.parametrize("place", ["pod.toml", "mine.toml"])
def test_profile_is_a_file_of_its_own(place, form, pod_folder):
    """Neither the parameter file nor the readings are ever written over."""
    text = filled(form, {"key": f"[{LADDER}]"})
    (pod_folder / "mine.toml").write_text(text)
    before = (pod_folder / place).read_bytes()
    code, _, error = command(
        "calibrate", pod_folder / "pod.toml", pod_folder / "mine.toml", "--profile", pod_folder / place, "--yes",
        "--out", pod_folder / "out",
    )  # fmt: skip
    assert code == 2 and "--profile" in error and "a file of its own" in error
    assert (pod_folder / place).read_bytes() == before


def test_a_profile_is_no_body(form, pod_folder):
    """A file that is extended and has the body in it is not written into."""
    (pod_folder / "mine.toml").write_text(filled(form, {"key": f"[{LADDER}]"}))
    (pod_folder / "here.toml").write_text('extends = "pod.toml"\nname = "here"\n')
    before = (pod_folder / "pod.toml").read_bytes()
    arguments = ["calibrate", "here.toml", "mine.toml", "--profile", "pod.toml", "--out", "out"]
    done = CliRunner().invoke(app, [one if one.startswith("-") or "." not in one else str(pod_folder / one)
                                    for one in [*arguments, "--yes"]])  # fmt: skip
    assert done.exit_code == 2 and "pod.toml" in done.output and "body's" in done.output
    assert (pod_folder / "pod.toml").read_bytes() == before


def test_profile_that_is_no_toml(form, pod_folder):
    text = filled(form, {"key": f"[{LADDER}]"})
    (pod_folder / "mine.toml").write_text(text)
    (pod_folder / "shop.toml").write_text("[printer\n")
    code, _, error = command(
        "calibrate", pod_folder / "pod.toml", pod_folder / "mine.toml", "--profile", pod_folder / "shop.toml", "--yes",
        "--out", pod_folder / "out",
    )  # fmt: skip
    assert code == 2 and "shop.toml" in error and "TOML" in error
    assert (pod_folder / "shop.toml").read_text() == "[printer\n" and not (pod_folder / "out").exists()


def test_by_the_real_command(form, pod_folder):
    """No traceback, nothing written."""
    (pod_folder / "mine.toml").write_text(filled(form, {"x-30": "[[29,94]]"}))
    code, _, error = real_command(
        "calibrate", pod_folder / "pod.toml", pod_folder / "mine.toml", "--out", pod_folder / "o"
    )
    assert code == 2 and "write 29.94" in error and "Traceback" not in error and not (pod_folder / "o").exists()


def test_no_such_file(pod_folder):
    code, _, error = command("calibrate", pod_folder / "pod.toml", pod_folder / "none.toml", "--out", pod_folder)
    assert code == 2 and "none.toml" in error and "a file that exists" in error
