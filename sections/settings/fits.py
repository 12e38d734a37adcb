"""How closely things fit, per side: [fits], as numbers, as words of the printer's, or as a pair of ISO 286."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Annotated, Any, Literal

from pydantic import Field, GetCoreSchemaHandler, GetJsonSchemaHandler
from pydantic_core import CoreSchema, PydanticCustomError
from pydantic_core.core_schema import no_info_plain_validator_function

from sections.settings.table import Table
from sections.standards.limits import PAIR_PATTERN

WORDS = ("press", "slide", "loose")


@dataclass(frozen=True)
class _Fit:
    """A fit as a number of mm from `least` to `most`, one of `words`, or, where there are, a pair such as H7/g6."""

    least: float
    most: float
    words: tuple[str, ...]
    pairs: bool = False

    def __get_pydantic_core_schema__(self, source: Any, handler: GetCoreSchemaHandler) -> CoreSchema:
        """Return what pydantic asks of a value."""
        return no_info_plain_validator_function(self._checked)

    def __get_pydantic_json_schema__(self, schema: CoreSchema, handler: GetJsonSchemaHandler) -> dict[str, Any]:
        """Return what stands in the schema of a parameter file."""
        kinds = [{"type": "number", "minimum": self.least, "maximum": self.most}, {"enum": list(self.words)}]
        kinds += [{"type": "string", "pattern": PAIR_PATTERN}] if self.pairs else []
        return {"anyOf": kinds}

    def _checked(self, value: Any) -> float | str:
        number = isinstance(value, int | float) and not isinstance(value, bool)
        if number and self.least <= value <= self.most:
            return float(value)
        if isinstance(value, str) and (value in self.words or (self.pairs and re.match(PAIR_PATTERN, value))):
            return value
        raise PydanticCustomError("fit", self._wanted())

    def _wanted(self) -> str:
        words = " or ".join(repr(word) for word in self.words)
        pairs = ", or for metal dowels a pair of ISO 286 such as 'H7/g6', holes D to H, pins d to h, k, m, n, p"
        return f"{self.least:g} to {self.most:g} mm per side, or {words}" + (pairs if self.pairs else "")


KeyFit = Annotated[float | str, _Fit(0, 2, WORDS)]
DowelFit = Annotated[float | str, _Fit(0, 2, WORDS, pairs=True)]
InsertFit = Annotated[float | str, _Fit(-0.5, 0.5, ("press",))]


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
