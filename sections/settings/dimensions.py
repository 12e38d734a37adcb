"""Named numbers that other keys of a parameter file are worked out from: [dimensions]."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from sections.settings.table import Table

LengthUnit = Literal["mm", "cm", "m", "in", "ft", "deg", ""]


class Dimension(Table):
    """A named number, which expressions and scripts take."""

    value: float = Field(description="in its unit; an expression of other dimensions, too")
    unit: LengthUnit = Field("mm", description='a length, "deg", or "" for a plain number')
    note: str = Field("", description="what it is")
    least: float | None = Field(None, description="in its unit; no value below it is taken")
    most: float | None = Field(None, description="in its unit; no value above it is taken")
