"""Whether a printer, as its test prints show it, can hold the fits a body asks for, and which readings to doubt."""

from __future__ import annotations

import math

import numpy as np
from scipy.special import ndtr

from sections.calibration.findings import Calibration
from sections.calibration.ladders import SERVED, TriedLadder
from sections.calibration.model import Readings
from sections.checks.finding import Finding, Measure
from sections.settings import Settings
from sections.settings.fit_values import fit_of
from sections.settings.fits import WORDS
from sections.standards.limits import pair_of

# The share of joints that may rattle before it is reported.
_RATTLING = 0.5
# mm per side; fits so close to the best are as good.
_AS_GOOD = 0.02
# mm; over a section's length, what is not known of shrinkage that is worth another print.
_LENGTH, _UNSURE = 290.0, 0.3


def check_calibration(
    calibration: Calibration, settings: Settings, readings: Readings
) -> tuple[list[Finding], list[Measure]]:
    """Return what is wrong with the fits asked for on this printer, and what was reckoned."""
    findings = list(_material(settings, readings.material))
    ratio = calibration.larger(readings)
    findings += [
        Finding("reading-doubtful", "fault", name, None, None, "", None, "far off the others: measure or try it again")
        for name in calibration.doubtful
    ]
    measures: list[Measure] = []
    for kind in ("key", "dowel", "insert"):
        for tried in calibration.of_kind(kind):
            found, read = _held(calibration, settings, kind, tried, ratio)
            findings, measures = findings + found, measures + read
    for tried in calibration.of_kind("bolt"):
        found, read = _bolts(settings, tried)
        findings, measures = findings + found, measures + read
    findings += [*_pair(calibration, settings), *_lengths(calibration), *_turned(calibration)]
    return findings, measures


def _material(settings: Settings, printed: str):
    """Yield a finding where the test prints are of another plastic than the body."""
    if printed.strip().lower() != settings.material.name.strip().lower():
        text = f"the test prints are of {printed}: shrinkage and fits are that plastic's"
        yield Finding("material-other", "fault", settings.material.name, None, None, "", None, text)


def _held(calibration: Calibration, settings: Settings, kind: str, tried: TriedLadder, ratio: float):
    """Return what becomes of joints drawn with the fit asked: its word's, or for a number those that go by hand.
    ratio : by which files will be larger than those of the prints."""
    asked = getattr(settings.fits, kind)
    word = asked if asked in WORDS else "press" if kind == "insert" else "slide"
    measured = calibration.word_fit(kind, word) if asked in WORDS else None
    as_tried = tried.redrawn(fit_of(settings, kind), 1 / ratio) if measured is None else measured
    drawn = round(tried.redrawn(as_tried, ratio), 4)
    share, findings, measures = tried.share(word, as_tried), [], []
    short = [name for name in ("presses", "slides") if not getattr(tried, name).reached]
    if short:
        text = f"no rung tells from where on it {' and '.join(short)}: {_other(tried)}"
        findings.append(Finding("ladder-short", "note", tried.id, None, None, "", None, text))
    where = f"{tried.id}, {drawn:g} mm per side"
    level, better = _better(calibration, tried, kind, word, as_tried, ratio)
    for name, value, limit, how in (
        ("fit-binds", share.binds, 1 - SERVED, "go together too hard"),
        ("fit-rattles", share.rattles, _RATTLING, "are looser than that"),
    ):
        if math.isnan(value):
            continue
        measures.append(Measure(name, where, 100 * value, "%"))
        # What is drawn to serve just so many serves so many.
        if value > limit + 0.005:
            text = f"of joints meant to {_means(word)} {how}; {better}"
            findings.append(Finding(name, level, where, 100 * value, round(100 * limit, 1), "%", None, text))
    return findings, measures


def _better(
    calibration: Calibration, tried: TriedLadder, kind: str, word: str, as_tried: float, ratio: float
) -> tuple[str, str]:
    """Return what to draw instead, and whether it is a fault not to: where nothing would serve better it is reported
    only."""
    best = calibration.word_fit(kind, word)
    if best is None:
        return "fault", "the ladder does not reach to what would do: see ladder-short"
    if abs(best - as_tried) <= _AS_GOOD:
        return "note", "this printer holds it no better"
    return "fault", f"draw {tried.redrawn(best, ratio):.3g} mm per side"


def _means(word: str) -> str:
    return "be loose" if word == "loose" else word


def _other(tried: TriedLadder) -> str:
    """Return what to print instead, where a ladder does not reach."""
    if all(answer == "jams" for said in tried.said for answer in said):
        return f"print one from {tried.fits[-1]:g} mm per side up"
    if all(answer in ("slides", "loose") for said in tried.said for answer in said):
        return f"print one from {tried.fits[0]:g} mm per side down"
    return "print another one beside it"


def _bolts(settings: Settings, tried: TriedLadder):
    """Return whether bolts go through the series of holes asked for."""
    names, asked = ("fine", "medium", "coarse"), settings.fits.bolt
    fits = dict(zip(names, tried.fits, strict=False))
    if asked not in fits:
        return [], []
    goes = np.array([[answer in ("slides", "loose") for answer in said] for said in tried.said]).all(0)
    falls = [name for name, through in zip(names, goes, strict=False) if through]
    findings = []
    if asked not in falls:
        what = f'fits.bolt = "{falls[0]}" lets it fall' if falls else "drill them, or take a smaller bolt"
        text = f"the bolt does not fall through {asked} holes: {what}"
        findings.append(Finding("fit-binds", "fault", tried.id, None, None, "", None, text))
    return findings, [Measure("bolt-clearance-drawn", tried.id, fits[asked], "mm")]


def _pair(calibration: Calibration, settings: Settings) -> list[Finding]:
    """Return by how much a hole asked to a grade of ISO 286 is beyond the printer."""
    asked, diameter = settings.fits.dowel, settings.dowels.diameter
    if not isinstance(asked, str) or asked in WORDS or calibration.holes is None:
        return []
    width, spread = pair_of(diameter, asked).hole.width, calibration.holes.spread.value
    outside = 2 * float(ndtr(-width / 2 / spread)) if spread else 0.0
    if outside <= 1 - SERVED:
        return []
    zone = asked.partition("/")[0]
    text = f"of holes come out beyond {zone}, {width * 1000:.0f} um wide: spread {spread:.3f} mm; ream them to {zone}"
    return [Finding("pair-not-held", "fault", f"{diameter:g} {asked}", 100 * outside, 5.0, "%", None, text)]


def _lengths(calibration: Calibration) -> list[Finding]:
    """Return where shrinkage is not known well enough for a section."""
    found = []
    for kind, shrink in calibration.shrink.items():
        unsure = (shrink.high - shrink.low) / 2 * _LENGTH
        if unsure > _UNSURE:
            text = f"of shrinkage in {kind} over {_LENGTH:g} mm is not known: more readings, or one more print"
            found.append(Finding("shrink-uncertain", "note", kind, unsure, _UNSURE, "mm", None, text))
    return found


def _turned(calibration: Calibration) -> list[Finding]:
    names = [name for tried in calibration.ladders.values() for name in tried.turned]
    text = "the wider rung answered tighter: as chance has it, or a mistake"
    return [Finding("rung-turned", "note", name, None, None, "", None, text) for name in names]
