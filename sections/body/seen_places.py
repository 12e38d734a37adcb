"""Places given by where they are seen from a side, found on the body's skin."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

import numpy as np

from sections.errors import PARAMETERS, BadInput, Problem
from sections.settings import Settings
from sections.settings.places import SeenPlace
from sections.settings.shapes import Cylinder
from sections.solids.distance import MeshDistance

# Which way each side is looked from, and which two coordinates are given.
_SIDES = {
    "right": ((0, -1, 0), (0, 2)), "left": ((0, 1, 0), (0, 2)), "top": ((0, 0, -1), (0, 1)),
    "bottom": ((0, 0, 1), (0, 1)), "front": ((1, 0, 0), (1, 2)), "rear": ((-1, 0, 0), (1, 2)),
}  # fmt: skip
# mm; from where the body is looked at.
_FROM = 10.0


def place_seen(seen: SeenPlace, skin: MeshDistance, key: str, name: str) -> tuple[np.ndarray, np.ndarray]:
    """Return (the place on the skin that is seen, (3,) mm; the way straight into the body there, (3,) unit).

    skin : distance to the body's. key, name : of what is to stand there, in the parameter file. Raises BadInput where
    the body is not seen.
    """
    way, given = _SIDES[seen.side]
    looking, start = np.array(way, float), np.zeros(3)
    start[list(given)] = seen.at
    along = int(np.abs(looking).argmax())
    start[along] = (skin.mesh.bounds[0] - _FROM if looking[along] > 0 else skin.mesh.bounds[1] + _FROM)[along]
    far = skin.first_hit(start[None], looking[None])[1][0]
    if not np.isfinite(far):
        limit = f"a place where the body is seen from the {seen.side}"
        raise BadInput([Problem(PARAMETERS, key, name, limit, "move it onto the body")])
    place = start + far * looking
    inward = -skin.nearest_and_depth(place[None])[2][0]
    return place, inward / np.linalg.norm(inward)


def with_seen_shapes(settings: Settings, skin: MeshDistance) -> Settings:
    """Return settings whose openings, keep-outs and clear places all have coordinates: those given by where they are
    seen are found. skin : distance to the body's. Raises BadInput for all of them that are seen beside the body."""
    problems: list[Problem] = []

    def found(rows: Sequence[Any], table: str, middle: str) -> list[Any]:
        return list(_found(rows, table, middle, skin, problems))

    clear = found(settings.seams.clear, "seams.clear", "at")
    given = {table: found(getattr(settings, table), table, "centre") for table in ("openings", "keepouts")}
    if problems:
        raise BadInput(problems)
    seams = settings.seams.model_copy(update={"clear": clear})
    return settings.model_copy(update={**given, "seams": seams})


def _found(rows: Sequence[Any], table: str, middle: str, skin: MeshDistance, problems: list[Problem]) -> Iterator[Any]:
    """Yield rows of a table with their middles and, of cylinders, their axes; add what is wrong to the problems."""
    for number, row in enumerate(rows, 1):
        seen: SeenPlace | None = getattr(row, "seen", None)
        if seen is None:
            yield row
            continue
        key = f"{table}[{number}].seen"
        try:
            place, inward = place_seen(seen, skin, key, getattr(row, "id", f"{seen.side} {seen.at}"))
        except BadInput as error:
            problems += error.problems
            continue
        way = inward
        axis = {}
        if isinstance(row, Cylinder):
            way = inward if row.axis is None else np.array(row.axis) / np.linalg.norm(row.axis)
            axis = {"axis": way.tolist()}
        at = (place + (seen.below or 0.0) * inward).tolist()
        yield row.model_copy(update={middle: at, "seen": None, **axis})
