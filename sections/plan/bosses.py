"""Bosses: which section carries each, how tall it stands, and that it breaks nothing."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sections.errors import PARAMETERS, BadInput, Problem
from sections.features.boss import Boss
from sections.numbers.frame import Plane, frame_on
from sections.plan.model import PlannedBoss
from sections.settings import Settings
from sections.settings.joints import Boss as BossSettings
from sections.solids.distance import MeshDistance


@dataclass(frozen=True)
class Carrier:
    """A section that may carry a boss: its id, distance to its bare surface, and the seams that bound it."""

    id: str
    surface: MeshDistance
    seams: tuple[Plane, ...]


def plan_bosses(settings: Settings, carriers: list[Carrier], skin: MeshDistance) -> tuple[PlannedBoss, ...]:
    """Return every boss, mirror images included. Raises BadInput with all that cannot be made, and why."""
    made: list[PlannedBoss] = []
    problems: list[Problem] = []
    for index, asked in enumerate(settings.bosses):
        for name, at, axis in _wanted(asked):
            key = f"bosses[{index + 1}]"
            result = _plan_one(asked, name, at, axis, _Context(settings, carriers, skin, key))
            (problems if isinstance(result, Problem) else made).append(result)
    if problems:
        raise BadInput(problems)
    return tuple(made)


def boss_axis(boss: PlannedBoss) -> tuple[np.ndarray, np.ndarray, float]:
    """Return (mouth, base, largest radius) of a boss in place, mm."""
    mouth = np.array(boss.frame.origin)
    return mouth, mouth - boss.boss.height * np.array(boss.frame.z), boss.boss.spread


@dataclass(frozen=True)
class _Context:
    settings: Settings
    carriers: list[Carrier]
    skin: MeshDistance
    key: str

    def refuse(self, name: str, limit: str, remedy: str) -> Problem:
        return Problem(PARAMETERS, self.key, name, limit, remedy)


def _wanted(asked: BossSettings):
    """Yield (name, mouth, axis or None) for a boss and its mirror image."""
    at = np.array(asked.at, float)
    axis = None if asked.axis is None else np.array(asked.axis, float)
    yield asked.id, at, axis
    if asked.mirror:
        flip = np.array([1.0, -1.0, 1.0])
        yield f"{asked.id}-mirrored", at * flip, None if axis is None else axis * flip


def _plan_one(asked: BossSettings, name: str, at: np.ndarray, axis, context: _Context) -> PlannedBoss | Problem:
    settings, wall = context.settings, context.settings.wall.thickness
    depth, _, outward = context.skin.nearest_and_depth(at[None])
    if depth[0] <= wall:
        limit = f"a mouth more than the wall ({wall:g}) below the skin, now {depth[0]:.2f}"
        return context.refuse(name, limit, "move it further into the body")
    axis = -outward[0] if axis is None else axis / np.linalg.norm(axis)
    height = _height_above_wall(at, axis, wall, context.skin)
    if height is None:
        return context.refuse(name, "a wall within 150 mm behind the mouth", "turn the axis or move the mouth")
    boss = Boss.of(asked, height, wall)
    bottom = at - boss.depth * axis
    left = float(context.skin.depth(bottom[None])[0])
    least = max(wall / 2, settings.flange.land)
    if left < least:
        limit = f"{least:.2f} mm of plastic between hole and skin, now {left:.2f}"
        return context.refuse(name, limit, f"raise the mouth by {least - left:.2f} or drill less deep")
    root = at - (height + wall / 2) * axis
    inside = [carrier for carrier in context.carriers if carrier.surface.depth(root[None])[0] > 0]
    if not inside:
        return context.refuse(name, "a section's wall behind the mouth, not an opening", "move it off the opening")
    carrier = inside[0]
    reach = np.array([at, root])
    room = min((float(np.abs(p.distance(reach)).min()) for p in carrier.seams), default=np.inf)
    need = boss.spread + settings.flange.thickness
    if room < need:
        limit = f"{need:.1f} mm or more from a seam (its foot and the flange), now {room:.1f}"
        return context.refuse(name, limit, "move the boss or the seam")
    return PlannedBoss(name, carrier.id, frame_on(at, axis), boss)


def _height_above_wall(at: np.ndarray, axis: np.ndarray, wall: float, skin: MeshDistance) -> float | None:
    """Return how far behind the mouth, mm along the axis, the wall's inner face lies, or None within 150 mm."""
    steps = np.arange(0.0, 150.0, 0.25)
    depth = skin.depth(at - steps[:, None] * axis)
    below = np.flatnonzero(depth <= wall)
    return float(steps[below[0]]) if len(below) else None
