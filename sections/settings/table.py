"""The base of every table of a parameter file, and the field types they share."""

from __future__ import annotations

from typing import Annotated

from pydantic import BaseModel, ConfigDict, Field


class Table(BaseModel):
    """A frozen table: unknown keys are refused, numbers must be finite, text is not taken for a number."""

    model_config = ConfigDict(frozen=True, extra="forbid", strict=True, allow_inf_nan=False)


Vector = Annotated[list[float], Field(min_length=3, max_length=3)]
Point2 = Annotated[list[float], Field(min_length=2, max_length=2)]
# Of a key that must be given: the one that may be given instead, and from which it is worked out.
INSTEAD = "instead"
# Letters of a name.
LONGEST_NAME = 40
Name = Annotated[str, Field(pattern=rf"^[a-z][a-z0-9_-]{{0,{LONGEST_NAME - 1}}}$")]
