"""Seams set off something else in the file: `off` of a seam worked out to `at`."""

from __future__ import annotations

import math
from collections.abc import Iterator
from difflib import get_close_matches
from itertools import product

from sections.settings.even_seams import Wrong, is_number
from sections.settings.layers import Key

# Tables of what a seam may be set off, and the axes.
_TABLES, _AXES = ("openings", "keepouts", "wheels"), "xyz"
_DIGITS = 6

Point = tuple[float, float, float]


def with_set_off_seams(data: dict) -> tuple[dict, list[Wrong]]:
    """Return (tables of a parameter file in which every seam that is set off something has its `at`, mm; what is wrong
    with some). What is not sound in itself is left to be refused as what it is."""
    seams = data.get("seams")
    rows = seams.get("planes") if isinstance(seams, dict) else None
    if not isinstance(rows, list):
        return data, []
    named: dict[str, dict | None] = {}
    for name, thing in _named(data):
        named[name] = thing if name not in named else None
    wrong: list[Wrong] = []
    planes = []
    for number, row in enumerate(rows):
        if not isinstance(row, dict) or "off" not in row:
            planes.append(row)
            continue
        off = row["off"] if isinstance(row["off"], dict) else {}
        key: Key = ("seams", "planes", number)
        if "at" in row:
            wrong.append(((*key, "at"), str(row["at"]), "`at` or `off`, not both", "take one of them out"))
        at, said = _place(row, off, named)
        if said is not None:
            wrong.append(((*key, "off", "beside"), repr(off.get("beside")), *said))
        # One that has no place is refused for what is wrong with it, not for want of `at`.
        planes.append({**row, "at": round(at or 0.0, _DIGITS)})
    return {**data, "seams": {**seams, "planes": planes}}, wrong


def _named(data: dict) -> Iterator[tuple[str, dict]]:
    """Yield (id, table) of all that a seam may be set off."""
    for table in _TABLES:
        rows = data.get(table)
        for row in rows if isinstance(rows, list) else ():
            if isinstance(row, dict) and isinstance(row.get("id"), str):
                yield row["id"], row


def _place(row: dict, off: dict, named: dict[str, dict | None]) -> tuple[float | None, tuple[str, str] | None]:
    """Return (where a seam stands along its normal, mm, None where that is not known; what must be, and the fix)."""
    normal, name, by, end = _normal(row), off.get("beside"), off.get("by"), off.get("end")
    if normal is None or not isinstance(name, str) or not is_number(by) or end not in ("low", "high"):
        return None, None
    if name not in named:
        near = get_close_matches(name, named, 1)
        fix = f"did you mean `{near[0]}`?" if near else "correct the name"
        return None, (f"the id of an opening, a keep-out or a wheel: {', '.join(named) or 'there is none'}", fix)
    thing = named[name]
    if thing is None:
        return None, ("an id that one opening, keep-out or wheel alone has", "rename the others")
    try:
        reach = reach_along(thing, normal)
    except (KeyError, TypeError, ValueError, IndexError, ZeroDivisionError):
        # A table that is not sound is refused as what it is.
        return None, None
    if reach is None:
        what = "a box, a cylinder with `centre`, a profile, a wheel with `diameter` and `width`"
        return None, (f"something given by its dimensions: {what}", "give those, or `at`")
    return (reach[0] - by if end == "low" else reach[1] + by), None


def _normal(row: dict) -> Point | None:
    axis, normal = row.get("axis"), row.get("normal")
    if isinstance(axis, str) and axis in tuple(_AXES) and normal is None:
        return tuple(float(axis == one) for one in _AXES)
    if axis is None and isinstance(normal, list) and len(normal) == 3 and all(map(is_number, normal)):
        long = math.hypot(*normal)
        return None if long < 1e-9 else tuple(one / long for one in normal)
    return None


def reach_along(thing: dict, normal: Point) -> tuple[float, float] | None:
    """Return from where to where something reaches along a unit normal, mm; None where its dimensions do not say.
    thing : the table of an opening, a keep-out or a wheel."""
    kind = thing.get("kind", "wheel")
    if kind == "box":
        return _of_points(list(product(*zip(thing["low"], thing["high"], strict=True))), normal)
    if kind == "profile":
        along = _AXES.index(thing["along"])
        corners = [list(point) for point in thing["points"]]
        ends = [[*p[:along], end, *p[along:]] for p in corners for end in (thing["start"], thing["stop"])]
        return _of_points(ends, normal)
    if kind == "cylinder" and "centre" in thing:
        return _of_bar(thing["centre"], thing["axis"], thing["radius"], thing["length"], normal)
    if kind == "wheel" and "diameter" in thing:
        return _of_bar(thing["centre"], [0.0, 1.0, 0.0], thing["diameter"] / 2, thing["width"], normal)
    return None


def _of_points(points: list, normal: Point) -> tuple[float, float]:
    along = [sum(a * b for a, b in zip(point, normal, strict=True)) for point in points]
    return min(along), max(along)


def _of_bar(centre: list, axis: list, radius: float, length: float, normal: Point) -> tuple[float, float]:
    """Return from where to where a round bar reaches along a unit normal, mm."""
    middle, _ = _of_points([centre], normal)
    cosine = sum(a * b for a, b in zip(axis, normal, strict=True)) / math.hypot(*axis)
    half = radius * math.sqrt(max(1 - cosine**2, 0.0)) + length / 2 * abs(cosine)
    return middle - half, middle + half
