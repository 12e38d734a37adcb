"""The profile's text: what was found, the builder's own comments and keys as they were."""

import tomllib

import pytest

from sections.calibration.findings import calibration_of
from sections.calibration.model import Readings
from sections.calibration.profile import difference, profile_text
from sections.errors import BadInput
from sections.settings import Settings

ANSWERS = ["jams", "presses", "slides", "slides", "loose", "loose"]
MINE = """\
# The printer in the back room.
[printer]
bed = [250, 210, 210]  # the small one
shrink = [0.001, 0.001, 0.0]    # 95 %: from last year
outside_oversize = 0.5   # by eye
# Keep the door shut.

[printer.fits.key]
slide = 0.3  # I like it so
press = 0.05

[material]
name = "ASA"  # the black one
"""


def lengths(kind, scale, offset=0.0, prints=2):
    """Rows of lengths, two prints 0.02 apart."""
    return [
        {"id": f"{kind}-{asked}", "kind": kind, "asked": asked,
         "read": [[asked * scale + offset + 0.01 * (-1) ** (n + place)] for n in range(prints)]}
        for place, asked in enumerate((30.0, 70.0, 110.0, 150.0))
    ]  # fmt: skip


def ladder(kind, answers):
    fits = [round(0.05 * n, 2) for n in range(1, len(answers) + 1)]
    return {"id": kind, "kind": kind, "marks": [f"{100 * fit:g}" for fit in fits], "fits": fits, "said": [answers] * 2}


def readings(**more):
    """Readings of a printer that loses 0.5 percent in x, nothing in y, outsides 0.1 wide."""
    data = {
        "made_for": "any",
        "material": "PETG",
        "shrink": [0.0, 0.0, 0.0],
        "sizes": lengths("x", 0.995, 0.1) + lengths("y", 1.0, 0.1),
        "ladders": [ladder("key", ANSWERS)],
    }
    return Readings.model_validate({**data, **more})


def test_new():
    """A new profile can be read as a parameter file's, and says what was found: 0.005 lost in x, none in y kept."""
    given = readings()
    text = profile_text(calibration_of(given), given, None, "new.toml")
    printer = tomllib.loads(text)["printer"]
    assert printer["shrink"] == [pytest.approx(0.005, abs=2e-4), 0.0, 0.0]
    assert printer["outside_oversize"] == pytest.approx(0.1, abs=0.02)
    # Half way between the rungs that pressed and slid, and past it for what spreads.
    assert 0.125 < printer["fits"]["key"]["slide"] < 0.2
    assert printer["fits"]["key"]["press"] < printer["fits"]["key"]["slide"] < printer["fits"]["key"]["loose"]
    body = {"name": "x", "body": {"file": "x.stl", "units": "mm"}}
    Settings.model_validate({**body, **tomllib.loads(text)})


def test_what_the_builder_wrote_stays():
    """Comments and keys of his own stay, line by line; values that were found change; our own comments are anew."""
    given = readings()
    text = profile_text(calibration_of(given), given, MINE, "mine.toml")
    for line in ("# The printer in the back room.", "bed = [250, 210, 210]  # the small one", "# Keep the door shut.",
                 'name = "ASA"  # the black one'):  # fmt: skip
        assert line in text.splitlines()
    slide = next(line for line in text.splitlines() if line.startswith("slide"))
    assert slide.endswith("# I like it so") and "0.3" not in slide
    assert "# by eye" in text and "last year" not in text
    assert tomllib.loads(text)["printer"]["bed"] == [250, 210, 210]
    removed = [line for line in difference(MINE, text, "mine.toml").splitlines() if line.startswith("-")][1:]
    assert all(line[1:].split(" ")[0] in ("shrink", "outside_oversize", "slide", "press") for line in removed)


def test_written_twice_is_written_once():
    given = readings()
    once = profile_text(calibration_of(given), given, MINE, "mine.toml")
    assert profile_text(calibration_of(given), given, once, "mine.toml") == once


def test_what_was_not_measured_stays():
    """Only a key ladder: nothing of shrinkage or size is touched."""
    given = readings(sizes=[])
    text = profile_text(calibration_of(given), given, MINE, "mine.toml")
    assert (
        "shrink = [0.001, 0.001, 0.0]    # 95 %: from last year" in text and "outside_oversize = 0.5   # by eye" in text
    )


def test_shrinkage_adds_up():
    """Prints whose files were made larger for 0.4 percent already, and come out 0.3 percent short: 1 - 0.997 x
    0.996."""
    given = readings(shrink=[0.004, 0.0, 0.0], sizes=lengths("x", 0.997) + lengths("y", 1.0))
    found = calibration_of(given).shrink["x"]
    assert found.value == pytest.approx(1 - 0.997 * 0.996, abs=2e-4)
    assert found.value != pytest.approx(0.003, abs=5e-4)


DOTTED = "[printer]\nbed = [250, 210, 210]\nfits.key.slide = 0.2\n"
ABOVE = 'printer.bed = [250, 210, 210]\nprinter.fits.key.slide = 0.2\nname = "mine"\nseams.mode = "auto"\n'
BRACED = "printer = { bed = [250, 210, 210], fits = { key = { slide = 0.2 } } }\n"
TWICE = "[printer]\noutside_oversize = 0.1\noutside_oversize = 0.2\n"


@pytest.mark.parametrize("text", [DOTTED, ABOVE, BRACED, TWICE, "[printer]\nfits = 3\n"])
def test_a_profile_in_another_shape_is_kept_whole_or_refused(text):
    """Dotted keys and tables in braces: what comes out says just what it said, and what was found; else it is
    refused."""
    given = readings(ladders=[ladder(kind, ANSWERS) for kind in ("key", "dowel", "slot")])
    try:
        made = profile_text(calibration_of(given), given, text, "mine.toml")
    except BadInput as error:
        assert "mine.toml" in str(error) and "printer" in str(error)
        return
    before, after = tomllib.loads(text), tomllib.loads(made)
    assert {key: value for key, value in after.items() if key != "printer"} == {
        key: value for key, value in before.items() if key != "printer"
    }
    assert after["printer"]["bed"] == before["printer"]["bed"] and after["printer"]["fits"]["dowel"]["slide"] > 0.1
    assert profile_text(calibration_of(given), given, made, "mine.toml") == made


def test_line_ends_stay():
    """A file of another system keeps its line ends."""
    given = readings()
    made = profile_text(calibration_of(given), given, MINE.replace("\n", "\r\n"), "mine.toml")
    assert "outside_oversize = " in made and made.count("\r\n") >= MINE.count("\n")


@pytest.mark.parametrize("answers", [["jams"] * 3 + ["slides"] * 3, ["jams"] + ["slides"] * 5])
def test_nothing_pressed(answers):
    """Where no rung pressed, what presses is not reported."""
    given = readings(ladders=[ladder("key", answers)])
    words = calibration_of(given).words(given)["key"]
    assert "press" not in words and words["slide"] > 0


@pytest.mark.parametrize("answers", [["jams"] * 3 + ["loose"] * 3, ["jams"] * 9 + ["presses"] + ["slides"] * 2])
def test_words_of_a_profile_are_in_order(answers):
    """Also where a word was not measured, or two are alike: the profile is one that a parameter file may extend."""
    from sections.settings.rules_fits import words_are_in_order

    given = readings(ladders=[ladder("key", answers)])
    text = profile_text(calibration_of(given), given, None, "mine.toml")
    body = {"name": "x", "body": {"file": "x.stl", "units": "mm"}}
    settings = Settings.model_validate({**body, **tomllib.loads(text)})
    assert list(words_are_in_order(settings, None)) == []
    assert profile_text(calibration_of(given), given, text, "mine.toml") == text


def test_a_bought_pin_does_not_shrink():
    """A 10 mm pin, found to slide at some fit in files that were not yet larger; 0.5 percent is lost in x and y. The
    hole comes out the same from a file 1 / 0.995 larger that is drawn narrower: (10 + 2 f) 0.995 - 10, halved."""
    both = lengths("x", 0.995) + lengths("y", 0.995)
    printed = readings(sizes=both, ladders=[ladder("dowel", ANSWERS)])
    bought = readings(sizes=both, ladders=[{**ladder("dowel", ANSWERS), "bought": 10.0}])
    one, two = (calibration_of(given).words(given)["dowel"]["slide"] for given in (printed, bought))
    lost = tomllib.loads(profile_text(calibration_of(bought), bought, None, "x"))["printer"]["shrink"]
    assert two == pytest.approx(((10 + 2 * one) * (1 - sum(lost[:2]) / 2) - 10) / 2, abs=2e-4)
    assert one - two == pytest.approx(0.025, abs=2e-3)


def test_unsure_reaches_to_the_far_end():
    """What is kept though it was not found: as unsure as the farther end of the interval is away."""
    given = readings(shrink=[0.0045, 0.0, 0.0], sizes=lengths("x", (1 - 0.0052) / (1 - 0.0045)) + lengths("y", 1.0))
    found = calibration_of(given)
    printer = tomllib.loads(profile_text(found, given, None, "x"))["printer"]
    for number, kind in enumerate(("x", "y")):
        kept, interval = printer["shrink"][number], found.shrink[kind]
        assert printer["shrink_uncertainty"][number] == pytest.approx(
            max(interval.high - kept, kept - interval.low), abs=1e-5
        )


@pytest.mark.parametrize("text", ['printer = "small"\n', "[[printer]]\nbed = [1, 2, 3]\n"])
def test_a_profile_of_something_else(text):
    given = readings()
    with pytest.raises(BadInput, match="printer"):
        profile_text(calibration_of(given), given, text, "mine.toml")
