"""Bosses and hardpoints given by where they stand on the skin: their mouths behind the skin, a boss's as deep as
its insert asks."""

from __future__ import annotations

from pathlib import Path

import numpy as np

from sections.body.seen_places import SkinPlaces, with_seen_shapes
from sections.errors import PARAMETERS, BadInput, Problem
from sections.features.boss import BossShape
from sections.numbers.frame import frame_on
from sections.settings import Settings
from sections.settings.bosses import Boss, Hardpoint
from sections.settings.fit_values import fit_of
from sections.solids.distance import MeshDistance

# mm; steps by which a mouth is set deeper until there is plastic enough about its hole, and how often.
_STEP, _DEEPER = 0.25, 60
# Directions about a hole in which the skin is looked for.
_TURNS = np.linspace(0, 2 * np.pi, 24, endpoint=False)


def with_seen_places(settings: Settings, folder: Path, skin: MeshDistance) -> Settings:
    """Return settings in which everything has its place: what is given by where it is seen is found on the skin.

    folder : of the parameter file. skin : distance to the body's. Raises BadInput for what is seen beside the body, or
    has no room behind it.
    """
    places, problems = SkinPlaces(settings, folder, skin), []
    tables: dict[str, list] = {"bosses": [], "hardpoints": []}
    for table, rows in tables.items():
        for number, one in enumerate(getattr(settings, table), 1):
            try:
                rows.append(_placed(one, f"{table}[{number}].seen", places))
            except BadInput as error:
                problems += error.problems
    try:
        settings = with_seen_shapes(settings, folder, skin)
    except BadInput as error:
        problems += error.problems
    if problems:
        raise BadInput(problems)
    return settings.model_copy(update=tables)


def _placed(one: Boss | Hardpoint, key: str, places: SkinPlaces) -> Boss | Hardpoint:
    """Return a boss or hardpoint with the middle of its mouth, and the way it faces. Raises BadInput."""
    seen = one.seen
    if seen is None:
        return one
    place, inward = places.find(seen, key, one.id)
    way = inward if one.axis is None else np.array(one.axis, float) / np.linalg.norm(one.axis)
    if seen.below is not None or isinstance(one, Hardpoint):
        at = place + (seen.below or 0.0) * way
    else:
        at = _mouth(one, place, way, key, places.settings, places.skin)
    return one.model_copy(update={"at": at.tolist(), "axis": way.tolist(), "seen": None})


def _mouth(
    boss: Boss, place: np.ndarray, inward: np.ndarray, key: str, settings: Settings, skin: MeshDistance
) -> np.ndarray:
    """Return the middle of a boss's mouth, (3,) mm, as deep behind a place on the skin as its hole asks. Raises
    BadInput where there is no room."""
    wall = settings.wall.thickness
    least = max(wall / 2, settings.flange.web)
    shape = BossShape.of(boss, 2 * wall, wall, 2 * fit_of(settings, "insert"))
    ring = shape.hole / 2 * np.column_stack([np.cos(_TURNS), np.sin(_TURNS)])
    for step in range(_DEEPER):
        below = max(shape.depth + least, wall) + _STEP * (step + 1)
        frame = frame_on(place + below * inward, inward)
        ends = frame.to_world(np.column_stack([np.vstack([ring, [0.0, 0.0]]), np.full(len(ring) + 1, -shape.depth)]))
        if skin.depth(ends).min() >= least and skin.depth(frame.to_world(np.zeros((1, 3))))[0] > wall:
            return place + below * inward
    limit = f"{least:.2f} mm of plastic between its hole and the skin, wherever its mouth is set"
    raise BadInput([Problem(PARAMETERS, key, boss.id, limit, "move it, or set it deeper with `below`")])
