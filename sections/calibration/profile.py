"""A printer's profile: the TOML that a parameter file extends, written so that what the builder wrote in it stays."""

from __future__ import annotations

import difflib

import tomlkit
from tomlkit.exceptions import ParseError
from tomlkit.items import Item, Table

from sections.calibration.findings import DIRECTIONS, Calibration
from sections.calibration.model import Readings
from sections.errors import BadInput, Problem
from sections.numbers.least_squares import Estimate
from sections.settings.printer import PrinterTable

# What a comment of ours begins with; any other is the builder's, and stays.
_OURS = "# 95 %:"
# Part of a length; what shrinkage may be off by where it was not measured.
_UNSURE = PrinterTable.model_fields["unsure"].default[0]
_HEAD = """\
# What a printer makes of what it is given, from test prints in {material}. Name it in a parameter file's `extends`:
#     extends = ["body.toml", "this-file.toml"]
"""


def profile_text(calibration: Calibration, readings: Readings, old: str | None, file: str) -> str:
    """Return the text of a profile with all that was found; of an old one only what was found anew is changed.

    file : its name, for errors. Raises BadInput when the old text is no TOML or its tables are something else.
    """
    try:
        document = tomlkit.parse(_HEAD.format(material=readings.material) if old is None else old)
    except ParseError as error:
        raise BadInput([Problem(file, "(file)", "", f"TOML: {error}", "mend the line named above")]) from None
    printer = _table(document, "printer", file, "printer")
    for key, value, comment in _values(calibration, readings):
        _set(printer, key, value, comment)
    for kind, words in calibration.words().items():
        fits = _table(printer, "fits", file, "printer.fits", dotted=True)
        table = _table(fits, kind, file, f"printer.fits.{kind}")
        for word, fit in words.items():
            _set(table, word, fit, _word_comment(calibration, kind, word))
    return tomlkit.dumps(document)


def difference(old: str | None, new: str, file: str) -> str:
    """Return what would change in a profile, line by line."""
    before, after = (old or "").splitlines(), new.splitlines()
    name = file if old is not None else f"{file} (not there yet)"
    return "\n".join(difflib.unified_diff(before, after, name, file, lineterm=""))


def shrink_kept(calibration: Calibration, readings: Readings) -> tuple[list[float], list[str]]:
    """Return printer.shrink as it is to be: what was found, and what it was where the readings do not speak against it;
    and the directions it is kept in."""
    shrink, kept = [], []
    for kind, given in zip(DIRECTIONS, readings.shrink, strict=True):
        found = calibration.shrink.get(kind)
        keep = found is None or found.holds(given)
        shrink.append(float(given) if keep else round(found.value, 5))
        if keep:
            kept.append(kind)
    return shrink, kept


def _values(calibration: Calibration, readings: Readings):
    """Yield (key, value, comment) for what [printer] itself gets."""
    if calibration.shrink:
        shrink, kept = shrink_kept(calibration, readings)
        said = [f"{kind} {_between(one, 5)}" for kind, one in calibration.shrink.items()]
        comment = ", ".join(said) + (f"; kept in {', '.join(kept)}" if kept else "")
        yield "shrink", shrink, comment
        yield "unsure", [_unsure(calibration.shrink.get(kind)) for kind in DIRECTIONS], None
    if calibration.wide is not None:
        yield "wide", round(calibration.wide.value, 3), _between(calibration.wide, 3)
    if calibration.holes is not None:
        narrow = calibration.holes.narrow
        loss = [calibration.holes.loss(diameter) for diameter in (4.0, 10.0)]
        comment = f"{_between(loss[0], 3)} smaller at 4 mm, {_between(loss[1], 3)} at 10"
        yield "narrow", [round(one.value, 4) for one in narrow], comment
    if calibration.foot is not None:
        yield "foot", round(calibration.foot, 3), None
    if calibration.level is not None:
        yield "spread", round(calibration.level.spread.value, 3), _between(calibration.level.spread, 3)


def _unsure(found: Estimate | None) -> float:
    """Return how far off shrinkage may be, part of a length: half its interval, the default where it was not
    measured."""
    return _UNSURE if found is None else round((found.high - found.low) / 2, 5)


def _between(estimate: Estimate, digits: int) -> str:
    return f"{estimate.low:.{digits}f} to {estimate.high:.{digits}f}"


def _word_comment(calibration: Calibration, kind: str, word: str) -> str:
    """Return where the fit's own threshold lies, on the ladder that decides it."""
    names = {"press": "presses", "slide": "slides", "loose": "loose"}
    deciding = max(calibration.of_kind(kind), key=lambda tried: getattr(tried, names[word]).estimate.value)
    return f"{names[word]} from {_between(getattr(deciding, names[word]).estimate, 3)} on"


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
