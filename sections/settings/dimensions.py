"""Named numbers that other keys of a parameter file are worked out from: [dimensions]."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, Field
from pydantic_core import PydanticCustomError

from sections.settings.table import Name, Table

LengthUnit = Literal["mm", "cm", "m", "in", "ft", "deg", ""]


class Dimension(Table):
    """A named number, which expressions and scripts take."""

    value: float = Field(description="in its unit; an expression of other dimensions, too")
    unit: LengthUnit = Field("mm", description='a length, "deg", or "" for a plain number')
    note: str = Field("", description="what it is")
    least: float | None = Field(None, description="in its unit; no value below it is taken")
    most: float | None = Field(None, description="in its unit; no value above it is taken")


def _a_value(value: Any) -> Any:
    if isinstance(value, bool) or not isinstance(value, int | float | str):
        raise PydanticCustomError("dimension", "a number, or an expression in quotes")
    return value


class Variant(Table):
    """The same body at other dimensions, which `sections variants` builds too."""

    id: Name = Field(description="its name, and what its job's name ends in")
    dimensions: dict[str, Annotated[float | str, BeforeValidator(_a_value)]] = Field(
        min_length=1, description="values by name, each in its own unit: numbers or expressions"
    )
    note: str = Field("", description="what it is")
