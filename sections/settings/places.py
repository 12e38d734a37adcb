"""Places on the skin, by where they are seen from a side of the vehicle."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Literal

from pydantic import Field

from sections.settings.layers import Key
from sections.settings.table import Name, Point2, Table, Vector

# The two axes that are given of a place seen from each side.
ACROSS = {"right": "xz", "left": "xz", "top": "xy", "bottom": "xy", "front": "yz", "rear": "yz"}

Complaint = tuple[Key, str, str, str]


class SeenPlace(Table):
    """A place on the skin, by where it is seen from a side: by two coordinates, or by its distance along the skin from
    a seam or from the edge of an opening."""

    side: Literal["right", "left", "top", "bottom", "front", "rear"] = Field(description="where it is seen from")
    at: Point2 | None = Field(
        None, description="mm; x, z from right or left; x, y from top or bottom; y, z from front or rear"
    )
    beside: Name | None = Field(None, description="or the seam or opening it is measured from, along the skin")
    end: Literal["low", "high"] | None = Field(None, description="toward which end of the other axis that is seen")
    by: float | None = Field(
        None, ge=0, le=5000, description="mm; how far along the skin from the seam, or from the opening's edge"
    )
    x: float | None = Field(None, description="mm; the level at which that is measured: one of x, y, z")
    y: float | None = Field(None, description="mm; the same")
    z: float | None = Field(None, description="mm; the same")
    below: float | None = Field(
        None,
        ge=0,
        le=300,
        description="mm; below the skin, along a boss's or hardpoint's own axis; left out: 0, a boss as deep as needed",
    )

    @property
    def levels(self) -> dict[str, float]:
        """The levels given, mm, by their axis."""
        return {axis: value for axis in "xyz" if (value := getattr(self, axis)) is not None}


def given_once(key: Key, field: str, place: Vector | None, seen: SeenPlace | None) -> Iterator[Complaint]:
    """Yield what is wrong with a place that is given twice, not at all or in part. key : of its table. field : that of
    its coordinates, mm."""
    if (place is None) == (seen is None):
        yield key, "", f"exactly one of `{field}` and `seen`", "say where it is, or where it is seen"
    if seen is not None:
        yield from _given_whole((*key, "seen"), seen)


def _given_whole(key: Key, seen: SeenPlace) -> Iterator[Complaint]:
    """Yield what is wrong with a place that is seen: of its two coordinates or its way along the skin there is one,
    whole."""
    if (seen.at is None) == (seen.beside is None):
        yield key, "", "exactly one of `at` and `beside`", "give two coordinates, or what it is measured from"
        return
    way = {"end": seen.end, "by": seen.by, **seen.levels}
    if seen.at is not None:
        for name in (name for name, value in way.items() if value is not None):
            yield (*key, name), str(way[name]), "given with `beside` alone", "take it out, or give `beside` for `at`"
        return
    for name in (name for name in ("end", "by") if way[name] is None):
        yield (*key, name), "", "given with `beside`", "say to which side, and how far along the skin"
    across = ACROSS[seen.side]
    if len(seen.levels) != 1 or next(iter(seen.levels)) not in across:
        limit = f"one level, {' or '.join(across)}, at which it is measured from the {seen.side}"
        yield key, ", ".join(f"{axis} = {value:g}" for axis, value in seen.levels.items()), limit, "give one of the two"
