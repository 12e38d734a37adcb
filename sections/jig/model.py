"""The jig as plain data, saved as jig.json: what its parts are, where each lies on its sheet and stands in the vehicle
frame, and where they hold the body."""

from __future__ import annotations

from dataclasses import dataclass

from pydantic import TypeAdapter

from sections.jig.locating import Contact
from sections.jig.nesting import Laid
from sections.jig.sheet_part import Slot
from sections.numbers.frame import Frame

JIG_SCHEMA = 1


@dataclass(frozen=True)
class PlannedSheetPart:
    """One part. frame : of its middle plane in the vehicle frame. thickness : mm. laid : on its sheet. slots : in its
    x, y. follows : gap, mm, at which a template's edge follows the skin, None for other parts."""

    id: str
    frame: Frame
    thickness: float
    laid: Laid
    slots: tuple[Slot, ...]
    follows: float | None = None


@dataclass(frozen=True)
class PlannedJig:
    """stations : x of the saddles. top : z of the rails' upper edge, the datum. sheets : files of the sheets, in order.
    freedoms : which of the six each locating contact takes."""

    schema: int
    stations: tuple[float, ...]
    top: float
    parts: tuple[PlannedSheetPart, ...]
    contacts: tuple[Contact, ...]
    freedoms: dict[str, str]
    sheets: tuple[str, ...]


_ADAPTER = TypeAdapter(PlannedJig)


def jig_to_json(jig: PlannedJig) -> str:
    """Return the jig as JSON text; jig_from_json gives it back equal."""
    return _ADAPTER.dump_json(jig, indent=1).decode() + "\n"


def jig_from_json(text: str) -> PlannedJig:
    """Return the jig of a JSON text. Raises pydantic.ValidationError when it is not one."""
    return _ADAPTER.validate_json(text)
