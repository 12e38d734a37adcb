"""Families of even seams laid out: [[seams.even]] becomes seams of its own, each with a name and a place."""

from __future__ import annotations

import math
from string import ascii_lowercase
from typing import Any

from sections.settings.working_out import Wrong

# So many seams of one family at most, and so many digits of a place are kept.
_MOST, _DIGITS = 99, 6
_OWN = ("family", "start", "stop", "apart", "number")


def with_even_seams(data: dict) -> tuple[dict, list[Wrong]]:
    """Return (tables of a parameter file with the seams of its families among `planes`; what is wrong with a family).

    A family that is not sound in itself is left to be refused as what it is. Slices are even, so an edit of either end
    moves all seams a little, and names none anew but at the far end. The file's own seams stay first, where their rows
    are; `rules_seams.in_cutting_order` says in which order seams cut.
    """
    seams = data.get("seams")
    rows = seams.get("even") if isinstance(seams, dict) else None
    if not isinstance(rows, list) or not isinstance(seams.get("planes", []), list):
        return data, []
    planes = list(seams.get("planes", []))
    wrong: list[Wrong] = []
    for number, row in enumerate(rows):
        if not _is_sound(row):
            continue
        long, key = row["stop"] - row["start"], ("seams", "even", number)
        count = math.ceil(round(long / row["apart"], _DIGITS)) if long > 0 else 0
        if long <= 0:
            wrong.append(
                ((*key, "stop"), f"{row['stop']:g}", f"more than start, {row['start']:g}", "change one of them")
            )
        elif count - 1 > _MOST:
            wrong.append(
                ((*key, "apart"), f"{row['apart']:g}", f"{long / _MOST:.1f} or more: {_MOST} seams", "cut wider")
            )
        else:
            rest = {name: value for name, value in row.items() if name not in _OWN}
            places = (round(row["start"] + long * step / count, _DIGITS) for step in range(1, count))
            first = row.get("number", 1)
            planes += [{"id": f"{row['family']}{n}", "at": at, **rest} for n, at in enumerate(places, first)]
    return {**data, "seams": {**seams, "planes": planes}}, wrong


def _is_sound(row: Any) -> bool:
    """Return whether a family's row says all that its seams are laid out by."""
    if not isinstance(row, dict) or not all(is_number(row.get(name)) for name in _OWN[1:4]) or row["apart"] <= 0:
        return False
    family, number = row.get("family"), row.get("number", 1)
    named = isinstance(family, str) and len(family) == 1 and family in ascii_lowercase
    return named and isinstance(number, int) and not isinstance(number, bool) and 1 <= number <= _MOST


def is_number(value: Any) -> bool:
    """Return whether a value of a parameter file is a finite number."""
    return isinstance(value, int | float) and not isinstance(value, bool) and math.isfinite(value)
