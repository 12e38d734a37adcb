"""Numbers as a user reads them."""

from __future__ import annotations

from collections.abc import Iterable


def place_words(point: Iterable[float]) -> str:
    """Return a point, three numbers in mm, to a tenth."""
    x, y, z = (round(float(c), 1) + 0.0 for c in point)
    return f"({x:.1f}, {y:.1f}, {z:.1f})"
