"""Calibration: readings in, what they say of the printer out; a profile shown before it is written."""

from __future__ import annotations

import json
import tomllib
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from sections.calibration.findings import DIRECTIONS, Calibration, calibration_of
from sections.calibration.model import Readings
from sections.calibration.profile import difference, profile_text
from sections.calibration.readings import load_readings
from sections.checks.calibration import check_calibration
from sections.checks.finding import FINDINGS_SCHEMA, Report, finding_rows
from sections.errors import BadInput, Problem
from sections.export.digest import parameters_digest
from sections.export.page import Page
from sections.export.stage import staged, write_whole
from sections.numbers.least_squares import CONFIDENCE, Estimate
from sections.pictures.charts import make_charts
from sections.processes.pool import Pool
from sections.settings import Settings
from sections.settings.fit_values import fit_of

PAGE_NAME, DATA_NAME = "calibration.html", "calibration.json"


@dataclass(frozen=True)
class CalibrationTask:
    """What one calibration is asked for. agrees : shown what would change in the profile, says whether to write it."""

    parameters: Path
    readings: Path
    profile: Path
    target: Path
    agrees: Callable[[str], bool]


@dataclass(frozen=True)
class Offer:
    """A profile's text, old (None: there is none yet) and new."""

    old: str | None
    new: str


def calibrate_printer(settings: Settings, asked: CalibrationTask, pool: Pool) -> tuple[Report, Offer]:
    """Return what is wrong with the fits asked for, and the profile to be offered; write page, charts and data.

    Raises BadInput, OutputRefused; nothing is written then.
    """
    if asked.profile.resolve() in (asked.parameters.resolve(), asked.readings.resolve()):
        limit = "a file of its own: parameters and readings stay as they are"
        raise BadInput([Problem("(command line)", "--profile", str(asked.profile), limit, "name another file")])
    if settings.printers:
        limit = "one machine: [printer] of a file without [[printers]]"
        remedy = "name a file for this machine alone that extends this one, with printers = []"
        raise BadInput([Problem(str(asked.parameters), "printers", str(len(settings.printers)), limit, remedy)])
    readings = load_readings(asked.readings)
    old = _text(asked.profile)
    _must_be_a_profile(asked.profile, old)
    found = calibration_of(readings)
    new = profile_text(found, readings, old, str(asked.profile))
    findings, measures = check_calibration(found, settings, readings)
    digest = parameters_digest(settings, asked.parameters.parent)
    report = Report(FINDINGS_SCHEMA, settings.name, digest, tuple(findings), tuple(measures))
    for line in calibration_words(found, readings):
        pool.progress.say(line)
    with staged(asked.target, "calibrate") as root:
        fits = {kind: fit_of(settings, kind) for kind in ("key", "dowel", "insert")}
        charts = make_charts(found, fits, root)
        (root / DATA_NAME).write_text(_data(found, readings), "utf-8")
        page = _page(settings, found, readings, report, charts, difference(old, new, asked.profile.name))
        (root / PAGE_NAME).write_text(page.html(), "utf-8")
    return report, Offer(old, new)


def _must_be_a_profile(path: Path, text: str | None) -> None:
    """Refuse to write into a body's own file. Raises BadInput."""
    try:
        given = {} if text is None else tomllib.loads(text)
    except tomllib.TOMLDecodeError:
        return  # said by what reads it
    own = [key for key in ("name", "body", "made_for") if key in given]
    if own:
        limit = f"a printer's profile; this file has `{own[0]}`: it is a body's or a form, and stays as it is"
        raise BadInput([Problem(str(path), "--profile", "", limit, "name a file of the printer's own")])


def offer_profile(asked: CalibrationTask, offer: Offer, pool: Pool) -> None:
    """Show what would change in the profile, and write it where that is agreed to. Raises OutputRefused."""
    old, new = offer.old, offer.new
    if old == new:
        pool.progress.say(f"{asked.profile}: stays as it is")
        return
    if asked.agrees(difference(old, new, str(asked.profile))):
        asked.profile.parent.mkdir(parents=True, exist_ok=True)
        write_whole(asked.profile, new)
        pool.progress.say(f"{asked.profile}: written; name it in `extends`, then prove it: sections coupon ... --proof")
    else:
        pool.progress.say(f"{asked.profile}: not written")


def _text(path: Path) -> str | None:
    try:
        # As it is, its line ends too.
        return path.read_bytes().decode("utf-8")
    except FileNotFoundError:
        return None
    except (OSError, UnicodeDecodeError) as error:
        limit = "a text file you may read, or none yet"
        raise BadInput([Problem(str(path), "--profile", "", limit, f"name another file ({error})")]) from None


def calibration_words(found: Calibration, readings: Readings) -> list[str]:
    """Return what was found, a line each, with the interval of every number."""
    kept = dict(zip(DIRECTIONS, found.kept(readings), strict=True))
    lines = [f"shrinks in {kind}: {_percent(one)}; printer.shrink {kept[kind]:g}" for kind, one in found.shrink.items()]
    if found.outside_oversize is not None:
        lines.append(f"outsides come out larger, all across, by {_mm(found.outside_oversize)}")
    if found.upright is not None:
        offset = found.upright.middle_offset
        advice = "not clearly different from 0" if offset.holds(0.0) else "set the first layer's height by it"
        lines.append(f"heights come out larger by {_mm(offset)}: {advice}")
    if found.holes is not None:
        lines += [
            f"a {d:g} mm hole comes out smaller, in diameter, by {_mm(found.holes.loss(d))}" for d in (4.0, 6.0, 10.0)
        ]
    if found.level is not None:
        lines.append(f"spread of one size: {_mm(found.level.spread)}")
    if found.first_layer_spread is not None:
        lines.append(f"the first layers spread by {found.first_layer_spread:.3f} mm per side")
    lines += [f"{name}: {mean:.3f} mm, drawn {drawn:g}" for name, drawn, mean in found.thickness if name != "above"]
    if found.rise is not None:
        lines.append(f"the strip's end lifts by {found.rise:.2f} mm")
    for kind, words in found.words(readings).items():
        lines.append(f"{kind}: " + ", ".join(f"{word} {fit:g}" for word, fit in words.items()) + " mm per side")
    lines += [f"{name}: good to {value:g}" for name, value in found.trials.items()]
    return lines


def _mm(one: Estimate) -> str:
    return f"{one.value:.3f} mm ({one.low:.3f} to {one.high:.3f})"


def _percent(one: Estimate) -> str:
    return f"{100 * one.value:.3f} % ({100 * one.low:.3f} to {100 * one.high:.3f})"


def _data(found: Calibration, readings: Readings) -> str:
    """Return everything that was found as JSON, each estimate with its interval."""

    def plain(one: Estimate | None):
        return None if one is None else {"value": one.value, "low": one.low, "high": one.high}

    holes = found.holes
    ladders = {
        name: {
            "fits": tried.fits,
            "said": tried.said,
            **{word: plain(getattr(tried, word).estimate) if getattr(tried, word).reached else None
               for word in ("presses", "slides", "loose")},
        }
        for name, tried in found.ladders.items()
    }  # fmt: skip
    data = {
        "confidence": CONFIDENCE,
        "prints": found.prints,
        "shrink": {kind: plain(one) for kind, one in found.shrink.items()},
        "outside_oversize": plain(found.outside_oversize),
        "hole_undersize": None if holes is None else [plain(one) for one in holes.undersize],
        "repeatability": None if found.level is None else plain(found.level.spread),
        "first_layer_spread": found.first_layer_spread,
        "rise": found.rise,
        "words": found.words(readings),
        "ladders": ladders,
        "trials": found.trials,
    }
    return json.dumps(data, indent=1) + "\n"


def _page(settings: Settings, found: Calibration, readings: Readings, report: Report, charts, change: str) -> Page:
    page = Page(f"{settings.name}: what its test prints say of the printer")
    page.paragraph(
        f"{found.prints} print{'s' if found.prints > 1 else ''} of the set. An interval holds the true value in "
        f"{CONFIDENCE:.0%} of such calibrations; a joint's share is of joints printed anew, spread and doubt included. "
        "Ladders lie flat on the bed: holes printed upright may come out otherwise."
    )
    page.table(("found",), [(line,) for line in calibration_words(found, readings)])
    if report.findings:
        page.heading("What to look at")
        page.table(("", "", ""), finding_rows(report.findings))
    page.heading("Charts")
    for path, says in charts:
        page.paragraph(says)
        page.picture(path, says)
    page.heading("The profile")
    page.code(change or "stays as it is")
    return page
