"""Fits asked of a printer: beyond it by a known amount, and just inside."""

import pytest
from scipy.stats import norm

from sections.calibration.findings import calibration_of
from sections.calibration.model import Readings
from sections.checks.calibration import check_calibration
from sections.settings import Settings
from tests.calibration.test_profile import ladder, lengths

ANSWERS = ["jams", "presses", "slides", "slides", "slides", "loose"]


def found(said, fits=None, more=None, sizes=(), prints=12):
    """Return the findings for ladders tried on many prints, the body asking for some fits."""
    ladders = [{**ladder(kind, answers), "said": [answers] * prints} for kind, answers in said.items()]
    data = {"made_for": "any", "material": "PETG", "shrink": [0.0, 0.0, 0.0], "sizes": list(sizes), "ladders": ladders}
    body = {"name": "any", "body": {"file": "any.stl", "units": "mm"}, "fits": fits or {}, **(more or {})}
    readings = Readings.model_validate(data)
    findings, measures = check_calibration(calibration_of(readings), Settings.model_validate(body), readings)
    return {(one.code, one.part.partition(",")[0]): one for one in findings}, measures


@pytest.mark.parametrize(("fit", "binds"), [(0.10, True), (0.16, False)])
def test_binds(fit, binds):
    """All prints press at 0.10 and slide at 0.15: a key drawn with 0.10 binds, with 0.16 it does not."""
    reported, measures = found({"key": ANSWERS}, {"key": fit})
    assert (("fit-binds", "key") in reported) == binds
    share = next(m.value for m in measures if m.name == "fit-binds")
    assert share > 90 if binds else share < 5
    if binds:
        assert "draw 0.1" in reported["fit-binds", "key"].text


@pytest.mark.parametrize(("fit", "rattles"), [(0.32, True), (0.25, False)])
def test_rattles(fit, rattles):
    """Loose from 0.30 on, sliding at 0.25."""
    reported, _ = found({"key": ANSWERS}, {"key": fit})
    assert (("fit-rattles", "key") in reported) == rattles


@pytest.mark.parametrize("kind", ["dowel", "slot"])
def test_pins_in_holes_and_slots(kind):
    """A pin at 0.10 binds in whichever of round hole and slot is tight."""
    easy = ["presses", "slides", "slides", "slides", "slides", "loose"]
    reported, _ = found({"dowel": easy, "slot": easy, kind: ANSWERS}, {"dowel": 0.10})
    assert ("fit-binds", kind) in reported and len([code for code in reported if code[0] == "fit-binds"]) == 1


@pytest.mark.parametrize(
    ("answers", "words"),
    [(["jams"] * 6, "from 0.3 mm per side up"), (["slides"] * 5 + ["loose"], "from 0.05 mm per side down")],
)
def test_a_ladder_that_does_not_reach(answers, words):
    reported, _ = found({"key": answers})
    assert words in reported["ladder-short", "key"].text


@pytest.mark.parametrize(("series", "falls"), [("fine", False), ("medium", True)])
def test_bolts(series, falls):
    """The bolt presses in fine holes and falls through medium ones."""
    reported, _ = found({"bolt": ["presses", "slides", "loose"]}, {"bolt": series})
    assert (("fit-binds", "bolt") in reported) != falls
    if not falls:
        assert 'fits.bolt = "medium"' in reported["fit-binds", "bolt"].text


@pytest.mark.parametrize(("spread", "held"), [(0.002, True), (0.02, False)])
def test_a_grade_the_printer_holds(spread, held):
    """6 H7 is 12 um wide (ISO 286); of holes spread by 20 um, centred on it, 2 Phi(-0.3) = 76 percent come out
    beyond."""
    holes = [
        {"id": f"hole-{d}", "kind": "hole", "asked": d, "read": [[d - 0.1 + spread * sign] for sign in (1, -1) * 4]}
        for d in (4.0, 6.0, 10.0)
    ]
    more = {"dowels": {"kind": "metal", "diameter": 6.0}}
    sizes = [*lengths("x", 1.0), *lengths("y", 1.0), *holes]
    reported, _ = found({}, {"dowel": "H7/g6"}, more, sizes)
    assert (("pair-not-held", "6 H7/g6") not in reported) == held
    if not held:
        share = 100 * 2 * norm.cdf(-0.006 / spread)
        assert reported["pair-not-held", "6 H7/g6"].measured == pytest.approx(share, abs=3)


@pytest.mark.parametrize(("name", "other"), [("petg ", False), ("ABS", True)])
def test_another_plastic(name, other):
    """Prints of PETG tell nothing of ABS."""
    reported, _ = found({"key": ANSWERS}, more={"material": {"name": name}})
    assert any(code == "material-other" for code, _ in reported) == other


def test_a_reading_far_off():
    """One length of sixteen 0.3 off, the others within 0.01: named."""
    sizes = [*lengths("x", 1.0), *lengths("y", 1.0)]
    sizes[2]["read"][1] = [110.3]
    reported, _ = found({}, sizes=sizes)
    assert [part for code, part in reported if code == "reading-doubtful"] == ["x-110.0"]
    assert reported["reading-doubtful", "x-110.0"].part == "x-110.0, print 2"


@pytest.mark.parametrize(("off", "unsure"), [(0.02, False), (0.15, True)])
def test_shrinkage_not_known(off, unsure):
    """Lengths scattered by 0.02 mm tell shrinkage well enough for a section, by 0.15 they do not: 2.18 (Student's t, 12
    degrees of freedom) x 0.17 (off, sqrt(16 / 12) more) / 127 (spread of the lengths) x 290 mm is 0.9; 0.3 is noted."""
    sizes = [*lengths("x", 1.0), *lengths("y", 1.0)]
    for number, size in enumerate(sizes):
        size["read"] = [[size["asked"] + off * (-1) ** (n + number // 2)] for n in range(2)]
    reported, _ = found({}, sizes=sizes)
    assert (("shrink-uncertain", "x") in reported) == unsure


def test_rungs_the_wrong_way_round():
    """Beside one another it is reported, not refused."""
    said = ["jams", "slides", "presses", "slides", "slides", "loose"]
    reported, _ = found({"key": said}, prints=1)
    assert reported["rung-turned", "key"].level == "note"
