"""Reading the jig of an output folder back: jig.json, the sheets as a cutter would read them, the pieces printed."""

from __future__ import annotations

from pathlib import Path

import shapely
from shapely import Polygon

from sections.checks.jig import BuiltSheetPart
from sections.errors import OutputRefused
from sections.export.read_dxf import Sheet, read_sheet
from sections.export.read_once import read_once
from sections.jig.model import PlannedJig, PlannedPiece, PlannedSheetPart, jig_from_json
from sections.measuring.reading import read_data, read_print
from sections.numbers.mesh import Mesh
from sections.results import sha256_of
from sections.solids.print_solid import PrintSolid

JIG_PATH = Path("jig") / "jig.json"
# mm; how far off a face the outlines of printed pieces are read, clear of their joints; what touches is one outline.
_OFF_FACE, _CLOSED = 0.3, 2e-3


def read_jig(out: Path) -> PlannedJig:
    """Return the jig of an output folder. Raises OutputRefused."""
    return read_data(out / JIG_PATH, jig_from_json)


def read_parts(out: Path) -> dict[str, BuiltSheetPart]:
    """Return the parts of a jig as its sheets, or printed pieces, have them, by id. Raises OutputRefused, ValueError
    where the sheets have other numbers of outlines, BadInput for a piece that cannot be read."""
    jig, parts = read_jig(out), {}
    if jig.pieces:
        placed = printed_meshes(out, jig)
        return {part.id: BuiltSheetPart(part, _printed_outline(part, jig, placed)) for part in jig.parts}
    for number, path in enumerate(jig.sheets, 1):
        here = [part for part in jig.parts if part.laid.sheet == number]
        for part, outline in zip(here, read_sheet(out / path).outlines, strict=True):
            parts[part.id] = BuiltSheetPart(part, part.laid.off_sheet(outline))
    return parts


def _printed_outline(part: PlannedSheetPart, jig: PlannedJig, placed: dict[str, Mesh]) -> Polygon:
    """Return the outline of a part, in its own x, y, as its pieces make it."""
    level = part.frame.at((0.0, 0.0, _OFF_FACE - part.thickness / 2))
    own = [PrintSolid.of(placed[piece.id], piece.id) for piece in jig.pieces if piece.part == part.id]
    flat = shapely.union_all([solid.section_at(level).buffer(_CLOSED) for solid in own])
    return Polygon(max(shapely.get_parts(flat.buffer(-_CLOSED)), key=lambda one: one.area).exterior)


def printed_meshes(out: Path, jig: PlannedJig) -> dict[str, Mesh]:
    """Return the pieces of a printed jig read back, by id, in the vehicle frame. Raises BadInput."""
    return {piece.id: piece.pose.place(read_piece(out, piece)) for piece in jig.pieces}


def read_piece(out: Path, piece: PlannedPiece) -> Mesh:
    """Return a piece of a printed jig read back, in print coordinates. Raises BadInput."""
    return read_print(out / piece.file, piece.growth)


@read_once(2)
def jig_of(out: Path) -> PlannedJig:
    """Return the jig of an output folder, read once a process. Raises OutputRefused."""
    return read_jig(out)


@read_once(2)
def parts_of(out: Path) -> dict[str, BuiltSheetPart]:
    """Return the parts of a jig as its sheets have them, by id, read once a process."""
    return read_parts(out)


@read_once(2)
def jig_content(out: Path) -> tuple[str | None, ...]:
    """Return the digests of all files a jig is read from, read once a process; None of one that is missing."""
    jig = jig_of(out)
    return tuple(sha256_of(out / path) for path in (JIG_PATH, *jig.sheets, *(piece.file for piece in jig.pieces)))


def sheet_or_why(out: Path, path: str) -> Sheet | str:
    """Return a sheet read back, or why it cannot be."""
    try:
        return read_sheet(out / path)
    except OutputRefused as error:
        return str(error)
