"""Reading the jig of an output folder back: jig.json and the sheets as a cutter would read them."""

from __future__ import annotations

from functools import lru_cache
from pathlib import Path

from sections.checks.jig import BuiltSheetPart
from sections.errors import OutputRefused
from sections.export.read_dxf import Sheet, read_sheet
from sections.jig.model import PlannedJig, jig_from_json
from sections.run.printed_jig import printed_outlines
from sections.run.reading import read_data

JIG_PATH = Path("jig") / "jig.json"


def read_jig(out: Path) -> PlannedJig:
    """Return the jig of an output folder. Raises OutputRefused."""
    return read_data(out / JIG_PATH, jig_from_json)


def read_parts(out: Path) -> dict[str, BuiltSheetPart]:
    """Return the parts of a jig as its sheets have them, by id. Raises OutputRefused, ValueError where the sheets have
    other numbers of outlines."""
    jig, parts = read_jig(out), {}
    if jig.pieces:
        outlines = printed_outlines(out, jig)
        return {part.id: BuiltSheetPart(part, outlines[part.id]) for part in jig.parts}
    for number, path in enumerate(jig.sheets, 1):
        here = [part for part in jig.parts if part.laid.sheet == number]
        for part, outline in zip(here, read_sheet(out / path).outlines, strict=True):
            parts[part.id] = BuiltSheetPart(part, part.laid.off_sheet(outline))
    return parts


@lru_cache(maxsize=2)
def jig_of(out: Path) -> PlannedJig:
    """Return the jig of an output folder, read once a process. Raises OutputRefused."""
    return read_jig(out)


@lru_cache(maxsize=2)
def parts_of(out: Path) -> dict[str, BuiltSheetPart]:
    """Return the parts of a jig as its sheets have them, by id, read once a process."""
    return read_parts(out)


def sheet_or_why(out: Path, path: str) -> Sheet | str:
    """Return a sheet read back, or why it cannot be."""
    try:
        return read_sheet(out / path)
    except OutputRefused as error:
        return str(error)
