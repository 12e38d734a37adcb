"""A printer's profile: the TOML that a parameter file extends, written so that what the builder wrote in it stays.

tomlkit puts tables that stood as dotted keys into other tables without an error: what is written is read back and
held against what it was to say before it is offered.
"""

from __future__ import annotations

import difflib
import tomllib

import tomlkit
from tomlkit.exceptions import ParseError, TOMLKitError
from tomlkit.items import Item, Table

from sections.calibration.findings import DIRECTIONS, Calibration
from sections.calibration.model import Readings
from sections.errors import BadInput, Problem
from sections.numbers.least_squares import Estimate
from sections.settings.fits import WORDS
from sections.settings.printer import PrinterTable, WordFits

# What a comment of ours begins with; any other is the builder's, and stays.
_OURS = "# 95 %:"
# mm; callipers that read to 0.01 tell no spread below this (0.01 / sqrt 12).
_READS_TO = 0.003
# Part of a length; what shrinkage may be off by where it was not measured.
_UNSURE = PrinterTable.model_fields["shrink_uncertainty"].default[0]
# mm per side; a word is at least so much wider than the one before it; what words come to before they are measured.
_APART, _PRACTICE = 0.01, WordFits()
# What half of all joints do at a word's threshold, and how many do at the fit that is set.
_DO = {
    "press": ("press", "most press"),
    "slide": ("slide", "19 of 20 slide"),
    "loose": ("are loose", "19 of 20 are loose"),
}
_HEAD = """\
# What a printer makes of what it is given, from test prints in {material}. Name it in a parameter file's `extends`:
#     extends = ["body.toml", "this-file.toml"]
"""


def profile_text(calibration: Calibration, readings: Readings, old: str | None, file: str) -> str:
    """Return the text of a profile with all that was found; of an old one only what was found anew is changed.

    file : its name, for errors. Raises BadInput when the old text is no TOML or its tables are something else.
    """
    try:
        return _written(calibration, readings, old, file)
    except (TOMLKitError, ValueError) as error:
        limit = f"TOML with a plain [printer] table, not dotted keys or tables in braces: {error}"
        raise BadInput([Problem(file, "printer", "", limit, "write it as [printer] and [printer.fits.key]")]) from None


def _written(calibration: Calibration, readings: Readings, old: str | None, file: str) -> str:
    """Return the new text. Raises TOMLKitError, ValueError where it would not hold what it is to, no more and no
    less."""
    try:
        document = tomlkit.parse(_HEAD.format(material=readings.material) if old is None else old)
    except ParseError as error:
        raise BadInput([Problem(file, "(file)", "", f"valid TOML: {error}", "correct the line named above")]) from None
    printer = _table(document, "printer", file, "printer")
    for key, value, comment in _values(calibration, readings):
        _set(printer, key, value, comment)
    wanted = tomllib.loads(old) if old is not None else {}
    if not isinstance(wanted.get("printer", {}).get("fits", {}), dict):
        _table(printer, "fits", file, "printer.fits")
    words_of = _words(calibration, readings, wanted)
    for kind, words in words_of.items():
        fits = _table(printer, "fits", file, "printer.fits", dotted=True)
        table = _table(fits, kind, file, f"printer.fits.{kind}")
        for word, (fit, comment) in words.items():
            _set(table, word, fit, comment)
    text = tomlkit.dumps(document)
    meant = wanted.setdefault("printer", {})
    meant.update({key: value for key, value, _ in _values(calibration, readings)})
    for kind, words in words_of.items():
        meant.setdefault("fits", {}).setdefault(kind, {}).update({word: fit for word, (fit, _) in words.items()})
    if tomllib.loads(text) != wanted:
        raise ValueError("its keys would come to stand in other tables")
    return text


def _words(calibration: Calibration, readings: Readings, old: dict) -> dict[str, dict[str, tuple[float, str]]]:
    """Return what every word is set to, with its comment, by kind of fit: those measured, and those that were not where
    they would no longer be wider than a tighter word."""
    made: dict[str, dict[str, tuple[float, str]]] = {}
    for kind, words in calibration.words(readings).items():
        made[kind] = {word: (fit, _word_comment(calibration, kind, word)) for word, fit in words.items()}
        before = old.get("printer", {}).get("fits", {}).get(kind, {})
        for tight, wide in zip(WORDS, WORDS[1:], strict=False) if kind != "insert" else ():
            least = made[kind].get(tight, (before.get(tight, getattr(_PRACTICE, tight)), ""))[0] + _APART
            has = made[kind].get(wide, (before.get(wide, getattr(_PRACTICE, wide)), ""))[0]
            if has < least:
                made[kind][wide] = (round(least, 4), f"no ladder showed it wider: {_APART:g} wider than {tight}")
    return made


def difference(old: str | None, new: str, file: str) -> str:
    """Return what would change in a profile, line by line."""
    before, after = (old or "").splitlines(), new.splitlines()
    name = file if old is not None else f"{file} (not there yet)"
    return "\n".join(difflib.unified_diff(before, after, name, file, lineterm=""))


def _values(calibration: Calibration, readings: Readings):
    """Yield (key, value, comment) for what [printer] itself gets."""
    if calibration.shrink:
        shrink = calibration.kept(readings)
        same = zip(DIRECTIONS, shrink, readings.shrink, strict=True)
        kept = [kind for kind, now, given in same if now == given and kind in calibration.shrink]
        said = [f"{kind} {_between(one, 5)}" for kind, one in calibration.shrink.items()]
        comment = ", ".join(said) + (
            f"; not clearly different from what it was, and kept, in {', '.join(kept)}" if kept else ""
        )
        yield "shrink", shrink, comment
        both = zip(DIRECTIONS, shrink, strict=True)
        yield "shrink_uncertainty", [_unsure(calibration.shrink.get(kind), value) for kind, value in both], None
    if calibration.outside_oversize is not None:
        found = calibration.outside_oversize
        yield "outside_oversize", round(found.value, 3) + 0.0, _between(found, 3)
    if calibration.holes is not None:
        undersize = calibration.holes.undersize
        loss = [calibration.holes.loss(diameter) for diameter in (4.0, 10.0)]
        comment = f"{_between(loss[0], 3)} smaller at 4 mm, {_between(loss[1], 3)} at 10"
        yield "hole_undersize", [round(one.value, 4) + 0.0 for one in undersize], comment
    if calibration.first_layer_spread is not None:
        yield "first_layer_spread", round(calibration.first_layer_spread, 3), None
    if calibration.level is not None:
        found = calibration.level.spread
        yield "repeatability", max(round(found.value, 3), _READS_TO), _between(found, 3)


def _unsure(found: Estimate | None, kept: float) -> float:
    """Return how far off shrinkage may be, part of a length: from what is kept to the farther end of its interval."""
    return _UNSURE if found is None else round(max(found.high - kept, kept - found.low), 5)


def _between(estimate: Estimate, digits: int) -> str:
    return f"{estimate.low:.{digits}f} to {estimate.high:.{digits}f}"


def _word_comment(calibration: Calibration, kind: str, word: str) -> str:
    """Return where the fit's own threshold lies, on the ladder that decides it, and what the fit serves."""
    thresholds = [tried.threshold(word).estimate for tried in calibration.of_kind(kind)]
    deciding = max(thresholds, key=lambda estimate: estimate.value)
    half, served = _DO[word]
    return f"half {half} from somewhere in {_between(deciding, 3)} on; {served} here"


def _table(parent, name: str, file: str, key: str, *, dotted: bool = False) -> Table:
    """Return a table of a document, made where there is none. Raises BadInput where there is something else."""
    if name not in parent:
        parent[name] = tomlkit.table(is_super_table=dotted)
    found = parent[name]
    if not hasattr(found, "items") or isinstance(found, list):
        limit = "a table: the profile of one printer"
        raise BadInput([Problem(file, key, str(found)[:60], limit, "give another file to --profile")])
    return found


def _set(table: Table, key: str, value: object, comment: str | None) -> None:
    """Set a key, its comment too where that is ours or there is none; a value that stays is not touched."""
    old = table.item(key) if key in table and hasattr(table, "item") else table.get(key)
    item: Item = tomlkit.item(value)
    trivia = getattr(old, "trivia", None)
    if old is not None and old == value and (trivia is None or not trivia.comment.startswith(_OURS)):
        return
    theirs = trivia is not None and trivia.comment and not trivia.comment.startswith(_OURS)
    if theirs:
        item.trivia.comment, item.trivia.comment_ws = trivia.comment, trivia.comment_ws
    elif comment is not None:
        item.comment(f"{_OURS[2:]} {comment}")
    table[key] = item
