"""Bosses and hardpoints: which section carries each, how tall it stands, and that it breaks nothing."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from sections.errors import PARAMETERS, BadInput, Problem
from sections.features.boss import BossShape
from sections.features.hardpoint import HardpointShape, hardpoint_of
from sections.numbers.frame import Frame, Plane, frame_on
from sections.numbers.mesh import MIRROR_Y
from sections.plan.model import PlannedBoss
from sections.settings import Settings
from sections.settings.bosses import Boss as BossSettings
from sections.settings.bosses import Hardpoint as HardpointSettings
from sections.settings.fit_values import fit_of
from sections.solids.distance import MeshDistance

# mm; how far behind a mouth the wall is looked for.
_REACH = 150.0
# Directions about a hole's axis in which the skin is looked for.
_TURNS = np.linspace(0, 2 * np.pi, 24, endpoint=False)


@dataclass(frozen=True)
class Carrier:
    """A section that may carry a boss: its id, distance to its bare surface, and the seams that bound it."""

    id: str
    surface: MeshDistance
    seams: tuple[Plane, ...]


def plan_bosses(
    settings: Settings,
    carriers: list[Carrier],
    skin: MeshDistance,
    openings: dict[str, MeshDistance],
) -> tuple[PlannedBoss, ...]:
    """Return every boss and hardpoint, mirror images too. Raises BadInput with all that cannot be made, and why.

    openings : distance to the surface of each, by a name to tell it by.
    """
    made: list[PlannedBoss] = []
    problems: list[Problem] = []
    for asked in _wanted(settings):
        result = _plan_one(asked, _Context(settings, carriers, skin, openings))
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
    openings: dict[str, MeshDistance]


@dataclass(frozen=True)
class _Asked:
    """One boss or hardpoint, or its mirror image. key : in the parameter file. along : of its slot, if it has one."""

    key: str
    name: str
    table: BossSettings | HardpointSettings
    at: np.ndarray
    axis: np.ndarray | None
    along: np.ndarray | None

    def refuse(self, limit: str, remedy: str) -> Problem:
        return Problem(PARAMETERS, self.key, self.name, limit, remedy)

    def made(self, height: float, settings: Settings) -> BossShape | HardpointShape | None:
        wall, wider = settings.wall.thickness, 2 * fit_of(settings, "insert")
        if isinstance(self.table, BossSettings):
            return BossShape.of(self.table, height, wall, wider)
        return hardpoint_of(self.table, height, wall, settings.material.allowable_stress, wider)


def _wanted(settings: Settings) -> Iterator[_Asked]:
    for table, rows in (("bosses", settings.bosses), ("hardpoints", settings.hardpoints)):
        for index, asked in enumerate(rows):
            given = [asked.at, asked.axis, getattr(asked, "along", None)]
            at, axis, along = (None if one is None else np.array(one, float) for one in given)
            key = f"{table}[{index + 1}]"
            yield _Asked(key, asked.id, asked, at, axis, along)
            if asked.mirror:
                ways = (None if way is None else way * MIRROR_Y for way in (axis, along))
                yield _Asked(key, f"{asked.id}-mirrored", asked, at * MIRROR_Y, *ways)


def _plan_one(asked: _Asked, context: _Context) -> PlannedBoss | Problem:
    settings, wall, at = context.settings, context.settings.wall.thickness, asked.at
    depth = float(context.skin.depth(at[None])[0])
    if depth <= wall:
        limit = f"a mouth more than the wall ({wall:g}) below the skin, now {depth:.2f}"
        return asked.refuse(limit, "move it further into the body")
    axis, height = standing(at, asked.axis, wall, context.skin)
    if height is None:
        return asked.refuse(f"a wall within {_REACH:g} mm behind the mouth", "turn the axis or move the mouth")
    boss = asked.made(height, settings)
    if boss is None:
        return asked.refuse(
            "a standoff of at most 120 mm that carries its load", "share the load among more hardpoints"
        )
    frame = _channel_free(boss, frame_on(at, axis, asked.along), context, turnable=asked.along is None)
    if frame is None:
        limit = "a way for nut and washer into the channel, clear of the skin"
        return asked.refuse(limit, "turn `along`, take less travel, or move it away from the skin beside it")
    return _in_its_place(asked, boss, frame, context)


def _in_its_place(
    asked: _Asked, boss: BossShape | HardpointShape, frame: Frame, context: _Context
) -> PlannedBoss | Problem:
    """Return the boss on the section that carries it, or what is wrong with the place."""
    settings, wall = context.settings, context.settings.wall.thickness
    at, axis = np.array(frame.origin), np.array(frame.z)
    # Where the skin leans, a rim of the hole's bottom is nearest to it.
    rim = [(x + boss.hole / 2 * np.cos(t), boss.hole / 2 * np.sin(t)) for x in _along_slot(boss) for t in _TURNS]
    ends = frame.to_world(np.array([(x, y, -boss.depth) for x, y in [(0.0, 0.0), *rim]]))
    left = float(context.skin.depth(ends).min())
    least = max(wall / 2, settings.flange.web)
    if left < least:
        limit = f"{least:.2f} mm of plastic between hole and skin, now {left:.2f}"
        return asked.refuse(limit, f"raise the mouth by {least - left:.2f} or drill less deep")
    for name, opening in context.openings.items():
        clear = -float(opening.depth(_standoff(boss, frame)).max()) - boss.outer / 2
        if clear < 0:
            limit = f"a standoff clear of opening {name}, which it reaches {-clear:.1f} mm into"
            return asked.refuse(limit, "move it, or turn its axis")
    root = at - (boss.height + wall / 2) * axis
    inside = [carrier for carrier in context.carriers if carrier.surface.depth(root[None])[0] > 0]
    if not inside:
        planes = {plane for one in context.carriers for plane in one.seams}
        gap = min((abs(float(plane.distance(root))) for plane in planes), default=np.inf)
        seam = ("it stands on a seam", "move the boss or the seam"), ("not an opening", "move it off the opening")
        what, remedy = seam[0 if gap < settings.flange.thickness else 1]
        return asked.refuse(f"a section's wall behind the mouth; {what}", remedy)
    carrier = inside[0]
    ends = np.array([p for end in (at, root) for x in _along_slot(boss) for p in [end + x * np.array(frame.x)]])
    room = min((_room(plane, ends) for plane in carrier.seams), default=np.inf)
    need = boss.spread + settings.flange.thickness - boss.travel
    if room < need:
        limit = f"{need:.1f} mm or more from a seam (its foot and the flange), now {max(room, 0):.1f}"
        return asked.refuse(limit, "move the boss or the seam")
    return PlannedBoss(asked.name, carrier.id, frame, boss)


def _standoff(boss: BossShape | HardpointShape, frame: Frame) -> np.ndarray:
    """Return places along a standoff's middle, from its mouth to the inner face, (n, 3) mm."""
    heights = np.linspace(0.0, boss.height, 25)
    return frame.to_world(np.array([(x, 0.0, -z) for x in _along_slot(boss) for z in heights]))


def _channel_free(boss: BossShape | HardpointShape, frame: Frame, context: _Context, *, turnable: bool) -> Frame | None:
    """Return the frame, turned about its axis where that may be, in which a hardpoint's channel opens clear of the
    skin; None where it does not."""
    if not isinstance(boss, HardpointShape) or boss.channel is None:
        return frame
    least = max(context.settings.wall.thickness, context.settings.flange.web)
    places = boss.channel_places()
    for angle in range(0, 360, 45) if turnable else (0, 180):
        cosine, sine = np.cos(np.radians(angle)), np.sin(np.radians(angle))
        x, y = np.array(frame.x), np.array(frame.y)
        turned = frame_on(np.array(frame.origin), np.array(frame.z), cosine * x + sine * y)
        if context.skin.depth(turned.to_world(places)).min() > least:
            return turned
    return None


def _along_slot(boss: BossShape | HardpointShape) -> tuple[float, ...]:
    """Return where along x the bolt may stand, mm."""
    return (-boss.travel, 0.0, boss.travel) if boss.travel else (0.0,)


def _room(plane: Plane, ends: np.ndarray) -> float:
    """Return how far off a seam points stay that should lie on one side of it, mm; less than 0 when they do not."""
    away = plane.distance(ends)
    away = away * np.sign(away[-1])
    return float(away.min())


def standing(
    at: np.ndarray, axis: np.ndarray | None, wall: float, skin: MeshDistance
) -> tuple[np.ndarray, float | None]:
    """Return (the unit axis, (3,), of what has its mouth at a place, square to the nearest skin where none is given;
    how far behind the mouth, mm along it, the wall's inner face lies, None when none is in reach)."""
    axis = -skin.nearest_and_depth(at[None])[2][0] if axis is None else axis / np.linalg.norm(axis)
    steps = np.arange(0.0, _REACH, 0.25)
    below = np.flatnonzero(skin.depth(at - steps[:, None] * axis) <= wall)
    return axis, float(steps[below[0]]) if len(below) else None
