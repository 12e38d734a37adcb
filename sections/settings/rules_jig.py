"""Contradictions within [jig]."""

from __future__ import annotations

from itertools import pairwise
from pathlib import Path

from sections.settings.fit_values import fit_of
from sections.settings.jig import MARK_DEPTH
from sections.settings.model import Settings


def jig_can_be_cut(settings: Settings, folder: Path):
    """The cutter gets into the slots; a sheet is a size."""
    jig = settings.jig
    if jig is None:
        return
    width = jig.thickness + 2 * jig.fit
    if jig.make == "sheet" and jig.cutter >= width:
        limit = f"less than a slot is wide, {width:g}: jig.thickness and jig.fit on either side"
        yield ("jig", "cutter"), f"{jig.cutter:g}", limit, "a smaller cutter, or thicker sheet"
    if jig.make == "printed":
        web = 2 * (settings.flange.web + MARK_DEPTH)
        dowel = settings.dowels.diameter + 2 * fit_of(settings, "dowel")
        wide = max(dowel, settings.keys.width + 2 * fit_of(settings, "key")) + web
        if jig.thickness < wide:
            beside = f"flange.web and a line cut in {MARK_DEPTH:g} deep on either side"
            limit = f"{wide:.4g} or more: a key or dowel with its fit, {beside}"
            yield ("jig", "thickness"), f"{jig.thickness:g}", limit, "print it thicker, or take thinner keys and dowels"
        return
    if min(jig.sheet) <= 0:
        yield ("jig", "sheet"), f"{jig.sheet}", "two lengths above 0", "give the sheet's width and length"


def saddles_stand_apart(settings: Settings, folder: Path):
    """Stations rise, two or more of them, with room for hands between; rails are as far apart."""
    jig = settings.jig
    if jig is None:
        return
    least = 3 * jig.thickness
    if len(jig.stations) == 1:
        yield ("jig", "stations"), f"{jig.stations}", "two or more, or none to have them placed", "add one"
    for number, (one, two) in enumerate(pairwise(jig.stations), 1):
        if two - one < least:
            limit = f"{one + least:g} or more: three times jig.thickness past the one before"
            yield ("jig", "stations", number), f"{two:g}", limit, "move it back, in rising order"
    if jig.rails < least:
        yield ("jig", "rails"), f"{jig.rails:g}", f"{least:g} or more: three times jig.thickness", "move the rails out"
