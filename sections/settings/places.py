"""Places on the skin, by where they are seen from a side of the vehicle."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Literal

from pydantic import Field

from sections.settings.layers import Key
from sections.settings.table import Point2, Table, Vector


class SeenPlace(Table):
    """A place on the skin, by where it is seen from a side."""

    side: Literal["right", "left", "top", "bottom", "front", "rear"] = Field(description="where it is seen from")
    at: Point2 = Field(description="mm; x, z from right or left; x, y from top or bottom; y, z from front or rear")
    below: float | None = Field(
        None,
        ge=0,
        le=300,
        description="mm; below the skin, along a boss's or hardpoint's own axis; left out: 0, a boss as deep as needed",
    )


def given_once(
    key: Key, field: str, place: Vector | None, seen: SeenPlace | None
) -> Iterator[tuple[Key, str, str, str]]:
    """Yield what is wrong with a place that is given twice or not at all. key : of its table. field : that of its
    coordinates, mm."""
    if (place is None) == (seen is None):
        yield key, "", f"exactly one of `{field}` and `seen`", "say where it is, or where it is seen"
