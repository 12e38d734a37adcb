"""Contradictions in places that are measured along the skin from something else in the file."""

from __future__ import annotations

import difflib
from collections.abc import Iterator
from pathlib import Path

from sections.settings.layers import Key
from sections.settings.model import Settings
from sections.settings.places import Complaint, SeenPlace


def places_beside_what_there_is(settings: Settings, folder: Path) -> Iterator[Complaint]:
    """What a place is measured from is a seam or an opening of the file, and is not measured from that place itself."""
    seams = {plane.id for plane in settings.seams.planes}
    openings = {one.id: getattr(one, "seen", None) for one in settings.openings}
    for key, owner, seen in _measured(settings):
        names, name = sorted({*seams, *openings} - {owner}), seen.beside
        if name in seams and name in openings:
            yield key, repr(name), "one thing: a seam and an opening have this name", "rename the opening"
        elif name not in names:
            near = difflib.get_close_matches(name, names, 1)
            fix = f'did you mean "{near[0]}"?' if near else "name one of them; seams that are found have no name yet"
            yield key, repr(name), "a seam or an opening of this file, and not this one itself", fix
        elif _comes_back(name, openings):
            limit = "something whose own place hangs on nothing that hangs on it"
            yield key, repr(name), limit, "give one of them by coordinates"


def _measured(settings: Settings) -> Iterator[tuple[Key, str, SeenPlace]]:
    """Yield (key of its `beside`, id of what stands there, place) for every place that is measured along the skin."""
    tables = {
        ("bosses",): settings.bosses, ("hardpoints",): settings.hardpoints, ("openings",): settings.openings,
        ("keepouts",): settings.keepouts, ("seams", "clear"): settings.seams.clear,
    }  # fmt: skip
    for table, rows in tables.items():
        for index, row in enumerate(rows):
            seen = getattr(row, "seen", None)
            if seen is not None and seen.beside is not None:
                owner = row.id if table == ("openings",) else ""
                yield (*table, index, "seen", "beside"), owner, seen


def _comes_back(name: str, openings: dict[str, SeenPlace | None]) -> bool:
    """Return whether openings, each measured from the next, go round in a ring."""
    met: set[str] = set()
    while name in openings and name not in met:
        met.add(name)
        seen = openings[name]
        if seen is None or seen.beside is None:
            return False
        name = seen.beside
    return name in met
