"""How closely things fit, per side: [fits], as numbers, as words of the printer's, or as a pair of ISO 286."""

from __future__ import annotations

import re
from typing import Annotated, Any, Literal

from pydantic import Field, PlainValidator, WithJsonSchema
from pydantic_core import PydanticCustomError

from sections.settings.table import Table
from sections.standards.limits import PAIR_PATTERN

WORDS = ("press", "slide", "loose")


def _fit(least: float, most: float, words: tuple[str, ...], *, pairs: bool = False):
    """Return a field's type: a number of mm from `least` to `most`, one of `words`, or a pair such as H7/g6."""
    said = f"{least:g} to {most:g} mm per side, or {' or '.join(repr(word) for word in words)}"
    if pairs:
        said += ", or for metal dowels a pair of ISO 286 such as 'H7/g6', holes D to H, pins d to h, k, m, n, p"

    def check(value: Any) -> float | str:
        number = isinstance(value, int | float) and not isinstance(value, bool)
        if number and least <= value <= most:
            return float(value)
        if isinstance(value, str) and (value in words or (pairs and re.match(PAIR_PATTERN, value))):
            return value
        raise PydanticCustomError("fit", said)

    kinds = [{"type": "number", "minimum": least, "maximum": most}, {"enum": list(words)}]
    kinds += [{"type": "string", "pattern": PAIR_PATTERN}] if pairs else []
    return Annotated[float | str, PlainValidator(check), WithJsonSchema({"anyOf": kinds})]


KeyFit = _fit(0, 2, WORDS)
DowelFit = _fit(0, 2, WORDS, pairs=True)
InsertFit = _fit(-0.5, 0.5, ("press",))


class FitsTable(Table):
    """Clearances, per side."""

    key: KeyFit = Field(
        0.2, description='mm per side, square to the key\'s faces, 0 to 2; or a word: "press", "slide", "loose"'
    )
    dowel: DowelFit = Field(
        0.1,
        description="mm per side (radius of hole less radius of dowel), 0 to 2; or a word; metal dowels: or a pair, "
        '"H7/g6"',
    )
    slot: float = Field(1.0, ge=0.1, le=10, description="mm; play of the dowel each way along the slot")
    end: float = Field(0.4, ge=0.1, le=5, description="mm; gap at the end of a dowel or key in its hole")
    bolt: Literal["fine", "medium", "coarse"] = Field("medium", description="clearance hole series of ISO 273")
    insert: InsertFit = Field(
        0.0, description='mm per side, -0.5 to 0.5; added to the hole the insert\'s maker gives; or "press"'
    )
