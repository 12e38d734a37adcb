"""Bosses given by where they are seen from a side: their mouths on the body's skin, as deep as their inserts ask."""

from __future__ import annotations

import numpy as np

from sections.errors import PARAMETERS, BadInput, Problem
from sections.features.boss import BossShape
from sections.numbers.frame import frame_on
from sections.settings import Settings
from sections.settings.bosses import Boss, SeenPlace
from sections.settings.fit_values import fit_of
from sections.solids.distance import MeshDistance

# Which way each side is looked from, and which two coordinates are given.
_SIDES = {
    "right": ((0, -1, 0), (0, 2)), "left": ((0, 1, 0), (0, 2)), "top": ((0, 0, -1), (0, 1)),
    "bottom": ((0, 0, 1), (0, 1)), "front": ((1, 0, 0), (1, 2)), "rear": ((-1, 0, 0), (1, 2)),
}  # fmt: skip
# mm; steps by which a mouth is set deeper until there is plastic enough about its hole, and how often.
_STEP, _DEEPER = 0.25, 60
# Directions about a hole in which the skin is looked for; mm, from where the body is looked at.
_TURNS, _FROM = np.linspace(0, 2 * np.pi, 24, endpoint=False), 10.0


def with_seen_places(settings: Settings, skin: MeshDistance) -> Settings:
    """Return settings whose bosses all have their mouths' places: those given by a side and two coordinates are found.

    skin : distance to the body's. Raises BadInput for one that is seen beside the body, or that has no room behind it.
    """
    problems: list[Problem] = []
    bosses: list[Boss] = []
    for number, boss in enumerate(settings.bosses, 1):
        if boss.seen is None:
            bosses.append(boss)
            continue
        found = _mouth(boss, boss.seen, settings, skin)
        if isinstance(found, str):
            problems.append(Problem(PARAMETERS, f"bosses[{number}].seen", boss.id, found, "move it, or set it deeper"))
        else:
            at, axis = found
            bosses.append(boss.model_copy(update={"at": at.tolist(), "axis": axis.tolist(), "seen": None}))
    if problems:
        raise BadInput(problems)
    return settings.model_copy(update={"bosses": bosses})


def _mouth(boss: Boss, seen: SeenPlace, settings: Settings, skin: MeshDistance) -> tuple[np.ndarray, np.ndarray] | str:
    """Return (the middle of a boss's mouth, (3,) mm; the way it faces, (3,) unit), or what it must be."""
    way, given = _SIDES[seen.side]
    looking, start = np.array(way, float), np.zeros(3)
    start[list(given)] = seen.at
    along = int(np.abs(looking).argmax())
    start[along] = (skin.mesh.bounds[0] - _FROM if looking[along] > 0 else skin.mesh.bounds[1] + _FROM)[along]
    far = skin.first_hit(start[None], looking[None])[1][0]
    if not np.isfinite(far):
        return f"a place where the body is seen from the {seen.side}"
    place = start + far * looking
    inward = -skin.nearest_and_depth(place[None])[2][0] if boss.axis is None else np.array(boss.axis, float)
    inward /= np.linalg.norm(inward)
    if seen.below is not None:
        return place + seen.below * inward, inward
    wall = settings.wall.thickness
    least = max(wall / 2, settings.flange.web)
    shape = BossShape.of(boss, 2 * wall, wall, 2 * fit_of(settings, "insert"))
    ring = shape.hole / 2 * np.column_stack([np.cos(_TURNS), np.sin(_TURNS)])
    for step in range(_DEEPER):
        below = max(shape.depth + least, wall) + _STEP * (step + 1)
        frame = frame_on(place + below * inward, inward)
        ends = frame.to_world(np.column_stack([np.vstack([ring, [0.0, 0.0]]), np.full(len(ring) + 1, -shape.depth)]))
        if skin.depth(ends).min() >= least and skin.depth(frame.to_world(np.zeros((1, 3))))[0] > wall:
            return place + below * inward, inward
    return f"{least:.2f} mm of plastic between its hole and the skin, wherever its mouth is set"
