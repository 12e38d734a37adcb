"""Families of even seams laid out: [[seams.even]] becomes seams of its own, each with a name and a place."""

from __future__ import annotations

import math
from typing import Any

from sections.settings.layers import Key

# So many seams of one family at most, and so many digits of a place are kept.
_MOST, _DIGITS = 99, 6
_OWN = ("family", "start", "stop", "apart", "number")

# Key, value, what it must be, what to change.
Wrong = tuple[Key, str, str, str]


def with_even_seams(data: dict) -> tuple[dict, list[Wrong]]:
    """Return (tables of a parameter file with the seams of its families among `planes`; what is wrong with a family).

    A family that lacks a number is left to be refused as what it is. Slices are even, so an edit of either end moves
    all seams a little, and names none anew but at the far end. They come behind the file's own seams of their letter;
    where there are none, those that lie within no other seam come first, so that others may lie within them, the rest
    last.
    """
    seams = data.get("seams")
    rows = seams.get("even") if isinstance(seams, dict) else None
    if not isinstance(rows, list) or not isinstance(seams.get("planes", []), list):
        return data, []
    planes = list(seams.get("planes", []))
    start = 0
    wrong: list[Wrong] = []
    for number, row in enumerate(rows):
        if not isinstance(row, dict) or not all(_is_number(row.get(name)) for name in _OWN[1:4]) or row["apart"] <= 0:
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
            family, first = str(row.get("family")), row.get("number", 1)
            first = first if isinstance(first, int) else 1
            made = [{"id": f"{family}{n}", "at": at, **rest} for n, at in enumerate(places, first)]
            own = [place for place, plane in enumerate(planes) if _letter(plane) == family]
            place = own[-1] + 1 if own else len(planes) if row.get("within") else start
            start += len(made) * (not own and not row.get("within"))
            planes[place:place] = made
    return {**data, "seams": {**seams, "planes": planes}}, wrong


def _letter(plane: Any) -> str:
    """Return the letter of a seam's family, "" for what is no seam."""
    return str(plane.get("id", ""))[:1] if isinstance(plane, dict) else ""


def _is_number(value: Any) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool) and math.isfinite(value)
