"""Contradictions in fits: pairs of ISO 286, and what words come to."""

from __future__ import annotations

from pathlib import Path

from sections.settings.fits import WORDS
from sections.settings.model import Settings
from sections.standards.limits import pair_of


def pairs_are_for_metal(settings: Settings, folder: Path):
    """A pair of ISO 286 speaks of a bought pin, of a diameter the table has."""
    asked, dowels = settings.fits.dowel, settings.dowels
    if not isinstance(asked, str) or asked in WORDS:
        return
    if dowels.kind != "metal":
        limit = 'a number or a word, as long as dowels.kind is "printed": a printed dowel keeps to no grade of ISO 286'
        yield ("fits", "dowel"), repr(asked), limit, 'write "slide", or take dowels.kind = "metal"'
        return
    try:
        pair_of(dowels.diameter, asked)
    except ValueError as error:
        yield ("fits", "dowel"), repr(asked), f"a pair the table of ISO 286 holds: {error}", "take another pair"


def words_are_in_order(settings: Settings, folder: Path):
    """What slides is wider than what presses, what is loose wider still."""
    printers = [(("printer",), settings.printer)]
    printers += [(("printers", number), printer) for number, printer in enumerate(settings.printers)]
    for place, printer in printers:
        for kind in ("key", "dowel"):
            words = getattr(printer.fits, kind)
            for tight, wide in zip(WORDS, WORDS[1:], strict=False):
                if getattr(words, tight) >= getattr(words, wide):
                    limit = f"more than {tight}, {getattr(words, tight):g}"
                    key = (*place, "fits", kind, wide)
                    yield key, f"{getattr(words, wide):g}", limit, f"widen `{wide}` or tighten `{tight}`"
