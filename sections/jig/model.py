"""The jig as plain data, saved as jig.json: what its parts are, where each lies on its sheet and stands in the vehicle
frame, and where they hold the body."""

from __future__ import annotations

from dataclasses import dataclass

from pydantic import TypeAdapter

from sections.jig.locating import Contact
from sections.jig.nesting import Laid
from sections.jig.printed import Butt
from sections.jig.sheet_part import Slot
from sections.numbers.frame import Frame
from sections.numbers.mesh import NO_GROWTH, Growth

JIG_SCHEMA = 1


@dataclass(frozen=True)
class PlannedSheetPart:
    """One part. frame : of its middle plane in the vehicle frame. thickness : mm. laid : on its sheet, None for one
    that is printed. slots : in its x, y. follows : gap, mm, at which a template follows the skin, else None."""

    id: str
    frame: Frame
    thickness: float
    laid: Laid | None
    slots: tuple[Slot, ...]
    follows: float | None = None


@dataclass(frozen=True)
class PlannedPiece:
    """One piece of a part that is printed. pose : the bed's frame in the vehicle frame. size : as printed, mm.
    file : its path in the output. printer : which, "" where there is one. growth : by what the file is larger."""

    id: str
    part: str
    pose: Frame
    size: tuple[float, float, float]
    file: str
    printer: str = ""
    growth: Growth = NO_GROWTH


@dataclass(frozen=True)
class PlannedJig:
    """stations : x of the saddles, mm. top : z of the rails' upper edge, mm, the datum. sheets : their files, in order.
    freedoms : which of the six each locating contact takes. pieces, butts : of a printed jig, and where they meet."""

    schema: int
    stations: tuple[float, ...]
    top: float
    parts: tuple[PlannedSheetPart, ...]
    contacts: tuple[Contact, ...]
    freedoms: dict[str, str]
    sheets: tuple[str, ...]
    pieces: tuple[PlannedPiece, ...] = ()
    butts: tuple[Butt, ...] = ()


_ADAPTER = TypeAdapter(PlannedJig)


def jig_to_json(jig: PlannedJig) -> str:
    """Return the jig as JSON text; jig_from_json gives it back equal."""
    return _ADAPTER.dump_json(jig, indent=1).decode() + "\n"


def jig_from_json(text: str) -> PlannedJig:
    """Return the jig of a JSON text. Raises pydantic.ValidationError when it is not one."""
    return _ADAPTER.validate_json(text)
