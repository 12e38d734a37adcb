"""Contradictions in what the body keeps off."""

from __future__ import annotations

from pathlib import Path

from sections.settings.model import Settings
from sections.settings.named import named_once
from sections.standards.tyres import tyre


def wheels_make_sense(settings: Settings, folder: Path):
    """Every wheel has a tyre there is, and a name that nothing else kept off has."""
    others = {one.id for one in settings.keepouts}
    yield from named_once(("wheels",), (wheel.id for wheel in settings.wheels), taken=others)
    for index, wheel in enumerate(settings.wheels):
        key = ("wheels", index)
        if (wheel.tyre is None) == (wheel.diameter is None) or (wheel.diameter is None) != (wheel.width is None):
            yield key, wheel.id, "`tyre` alone, or `diameter` and `width`", "give its mark, or what it measures"
        if wheel.tyre is None:
            continue
        try:
            tyre(wheel.tyre)
        except ValueError:
            limit = "a mark such as 205/55R16: section width, aspect ratio, construction, rim in inches"
            yield (*key, "tyre"), repr(wheel.tyre), limit, "as on the side wall"
