"""Numbers as a user reads them."""

from __future__ import annotations

import re
from collections.abc import Iterable

# Sent to a terminal they move its cursor, colour it, or worse; U+202A to U+202E and U+2066 to U+2069 turn text about.
CONTROL = re.compile(r"[\x00-\x08\x0b-\x1f\x7f-\x9f\u2028\u2029\u202a-\u202e\u2066-\u2069]")


def place_words(point: Iterable[float]) -> str:
    """Return a point, three numbers in mm, to a tenth."""
    x, y, z = (round(float(c), 1) + 0.0 for c in point)
    return f"({x:.1f}, {y:.1f}, {z:.1f})"


def figures(value: float) -> str:
    """Return a number to four figures, large ones without an exponent."""
    return f"{value:,.0f}".replace(",", " ") if 1e4 <= abs(value) < 1e12 else f"{value:.4g}"


def printable(text: str) -> str:
    """Return text without what a terminal takes for more than text; lines stay lines."""
    return CONTROL.sub("?", text)
