"""General tolerances of lengths: ISO 2768-1."""

from __future__ import annotations

import bisect

from sections.standards.table import read_table

_LEAST = 0.5


def general_tolerance(length: float, grade: str) -> float | None:
    """Return the tolerance, plus and minus, mm, of a length, mm, in class f, m, c or v; None where there is none."""
    table = read_table("general")
    if not _LEAST <= length <= table["ends"][-1]:
        return None
    return table["classes"][grade][bisect.bisect_left(table["ends"], length)] or None
