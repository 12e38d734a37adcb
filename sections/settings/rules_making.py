"""Contradictions between printer, wall, label and parts."""

from __future__ import annotations

from pathlib import Path

from sections.settings.model import Settings
from sections.settings.named import named_once


def wall_prints(settings: Settings, folder: Path):
    """The wall is at least two beads wide, and the flange stands proud of it."""
    least = settings.printer.two_beads
    if settings.wall.thickness < least:
        limit = f"{least:g} or more: two beads of printer.nozzle"
        yield ("wall", "thickness"), f"{settings.wall.thickness:g}", limit, "thicken the wall"
    if settings.flange.height <= settings.wall.thickness:
        limit = f"more than wall.thickness, {settings.wall.thickness:g}"
        yield ("flange", "height"), f"{settings.flange.height:g}", limit, "raise the flange"


def bed_takes_parts(settings: Settings, folder: Path):
    """The bed, less its margins, takes a key and a flange's full section."""
    least = max(settings.keys.length, 2 * settings.flange.height, settings.dowels.length)
    printers = [(("printer",), settings.printer)]
    printers += [(("printers", number), printer) for number, printer in enumerate(settings.printers)]
    for place, printer in printers:
        for axis, size in enumerate(printer.bed):
            usable = size - printer.margin * (2 if axis < 2 else 1)
            if usable < least:
                limit = f"{least:g} mm of use after margins (the largest of key, two flanges, dowel), now {usable:g}"
                yield (*place, "bed", axis), f"{size:g}", limit, "give the printer's true size, or smaller joints"


def printers_have_names(settings: Settings, folder: Path):
    """No two machines have one name."""
    yield from named_once(("printers",), (printer.id for printer in settings.printers))


def label_prints(settings: Settings, folder: Path):
    """A letter's stroke is at least two beads wide and leaves the letter open."""
    label, least = settings.label, settings.printer.two_beads
    if label.stroke < least:
        limit = f"{least:g} or more: two beads of printer.nozzle"
        yield ("label", "stroke"), f"{label.stroke:g}", limit, "widen the stroke"
    if label.height < 6 * label.stroke:
        limit = f"{6 * label.stroke:g} or more: six strokes, so that letters stay open (common practice, no source)"
        yield ("label", "height"), f"{label.height:g}", limit, "raise the letters or narrow the stroke"


def parts_can_be_measured(settings: Settings, folder: Path):
    """Parts are printed from, and measured on, their STL or 3MF."""
    if not {"stl", "3mf"} & set(settings.output.formats):
        limit = '"stl" or "3mf" among them: parts are printed from it and measured on it'
        yield ("output", "formats"), str(settings.output.formats), limit, "add one"
