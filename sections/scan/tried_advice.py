"""Advice that was tried: the first lines for a parameter file by which a mesh comes out sound."""

from __future__ import annotations

import tomllib
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import chain, pairwise

import numpy as np

from sections.errors import BadInput
from sections.numbers.mesh import Mesh
from sections.numbers.words import place_words
from sections.results import digest_of
from sections.scan.advice import advise
from sections.scan.block import block_behind, depth_behind
from sections.scan.health import Health
from sections.scan.repair import FIRST, THEN, Change, Repaired, RepairOrder, Step, repair
from sections.scan.sound_mesh import sound_mesh, sound_open_mesh
from sections.settings.body import MeshTable, WallTable
from sections.settings.joints import FlangeTable
from sections.settings.making import ChecksTable
from sections.settings.scan import RepairTable
from sections.solids.as_given import AsGiven, as_given, off_unwanted
from sections.solids.distance import MeshDistance
from sections.solids.soundness import FOLDS_PER_DEVIATION
from sections.solids.wrapping import NoInside, faces_of_wrap, refuse_sheet

# Wraps tried, as parts of the mesh's diagonal: narrow ones keep more of it. mm; the limit each is given.
_GAPS, _LIMIT = (1 / 200, 1 / 60, 1 / 20), 0.5
_DIGITS, _ROUND_UP = 3, 1.05
# Wraps of more faces are not tried: some minutes each.
_MOST_FACES = 600_000
# mm; what a build takes that is not told.
_WALL, _PITCH = WallTable().thickness, MeshTable().pitch


@dataclass(frozen=True)
class TriedAdvice:
    """Lines for a parameter file, and why they do not do; "" where the mesh comes out sound. kept : percent of what is
    seen of the mesh, by area in mm2, that the sound skin has; None where it is not sound."""

    lines: tuple[str, ...]
    why: str
    kept: float | None = None


def try_advice(
    mesh: Mesh, health: Health, deviation: float, what: str, say: Callable[[str], None]
) -> list[TriedAdvice]:
    """Return what was tried on a welded mesh, mm, in turn, until something did; an empty list for a sound one.

    deviation : mm, of the build. say : told what is being tried.
    """
    trial, tried = _Trial(mesh, deviation, what), []
    for lines in chain(_steps(health), _wraps(health)):
        say(", ".join(line for line in lines if not line.startswith(("[", "#"))))
        tried.append(trial.of(lines))
        if not tried[-1].why:
            break
    return tried + _or_closed(trial, health, tried) + _or_less(tried)


def _or_closed(trial: _Trial, health: Health, tried: list[TriedAdvice]) -> list[TriedAdvice]:
    """Return the other way on for what came out sound as an open skin: its holes closed, where that does too."""
    if not tried or tried[-1].why or "open = true" not in tried[-1].lines:
        return []
    closed = trial.of(_closing_all(tried[-1].lines, health))
    return [] if closed.why else [closed]


def _closing_all(lines: tuple[str, ...], health: Health) -> tuple[str, ...]:
    """Return lines by which a mesh is closed all over, its largest hole too."""
    widest = max(hole.span for hole in health.holes)
    steps = [line for line in lines if not line.startswith(("[body]", "open =", "holes ="))]
    return (*steps, f"holes = {_rounded(_ROUND_UP * widest):g}")


def _or_less(tried: list[TriedAdvice]) -> list[TriedAdvice]:
    """Return, where nothing did, what came out sound and lacks least of the mesh, with the key that lets it pass."""
    sound = [one for one in tried if one.kept is not None]
    if not sound or not all(one.why for one in tried):
        return []
    most = max(sound, key=lambda one: one.kept)
    return [replace(most, lines=(*most.lines, "[checks]", f"covered = {np.floor(most.kept):g}"), why="")]


def _steps(health: Health) -> list[tuple[str, ...]]:
    if health.is_sound:
        return []
    first = tuple(advise(health))
    steps = tuple(line for line in first if "envelope" not in line and not line.startswith("#"))
    candidates = [first]
    if health.holes:
        candidates.append(("[body]", "open = true", *steps))
        if "orient = true" not in steps:
            candidates.append(("[body]", "open = true", *steps, "orient = true"))
        # Two walls and what a lattice needs between them.
        room = 2 * _WALL + _PITCH
        candidates.append((*candidates[-1], f"hems = {room:g}"))
        closed = _closing_all(steps, health)
        candidates += [closed] if closed != steps else []
        candidates += [(*closed, "envelope = true")] if "envelope = true" in first else []
    return candidates


def _wraps(health: Health) -> Iterator[tuple[str, ...]]:
    """Yield wraps, from narrow to wide; none of those for which even the next wider finds no inside, or that take too
    long."""
    if health.is_sound:
        return
    diagonal = float(np.linalg.norm(health.mesh.size))
    limit = max(_LIMIT, _rounded(diagonal / 10_000))
    gaps = [max(_rounded(part * diagonal), 10 * limit) for part in _GAPS]
    if _goes_round_sheets(health.mesh, gaps[-1]):
        return
    for gap, wider in pairwise((*gaps, None)):
        if wider not in (None, gaps[-1]) and _goes_round_sheets(health.mesh, wider):
            continue
        if faces_of_wrap(health.mesh, gap) <= _MOST_FACES:
            yield ("[repair]", f"limit = {limit:g}", f"wrap = {gap:g}")


def _goes_round_sheets(mesh: Mesh, gap: float) -> bool:
    """Return whether a wrap that bridges `gap` mm finds no inside."""
    try:
        refuse_sheet(mesh, gap)
    except NoInside:
        return True
    return False


def _rounded(value: float) -> float:
    return float(f"{value:.{_DIGITS}g}")


class _Trial:
    """What is tried on one mesh."""

    def __init__(self, mesh: Mesh, deviation: float, what: str) -> None:
        self._mesh, self._deviation, self._what = mesh, deviation, what
        # Steps that find nothing to do leave the same mesh, and looking behind an open skin takes long.
        self._refused: dict[tuple[bool, str], BadInput] = {}
        # Most lines begin alike, and closing some hundred holes takes seconds.
        self._changes: dict[tuple[Step, object, str], Change | None] = {}
        alone = {key for key, _ in FIRST}
        self._steps = tuple((key, self._once(key, step) if key in alone else step) for key, step in (*FIRST, *THEN))

    def of(self, lines: tuple[str, ...]) -> TriedAdvice:
        """Return what comes of the mesh by some lines."""
        asked = tomllib.loads("\n".join(lines))
        table = RepairTable.model_validate(asked.get("repair", {}))
        order = RepairOrder(table, None, self._deviation / FOLDS_PER_DEVIATION, self._what)
        try:
            made = repair(self._mesh, order, self._steps)
            self._judge(made.mesh, order.fold, is_open=bool(asked.get("body", {}).get("open")))
        except BadInput as refused:
            one = refused.problems[0]
            return TriedAdvice(lines, f"{one.key}: {one.limit}")
        return self._held_against(made, table.limit, lines)

    def _once(self, key: str, step: Step) -> Step:
        """Return a step that hangs on nothing but its own key and the mesh, and is taken once for each of them."""

        def taken(mesh: Mesh, order: RepairOrder) -> Change | None:
            asked = step, getattr(order.repair, key), digest_of(mesh)
            if asked not in self._changes:
                self._changes[asked] = step(mesh, order)
            return self._changes[asked]

        return taken

    def _judge(self, mesh: Mesh, fold: float, *, is_open: bool) -> None:
        """Refuse, as a build does, what is not sound. Raises BadInput."""
        key = is_open, digest_of(mesh)
        if key in self._refused:
            raise self._refused[key]
        try:
            if is_open:
                skin = sound_open_mesh(mesh, self._deviation, None, self._what)
                # As deep as a build goes whose flange, wall and pitch are not given.
                block_behind(skin, depth_behind(FlangeTable().height, _WALL, _PITCH), fold, self._what)
            else:
                sound_mesh(mesh, self._deviation, self._what)
        except BadInput as refused:
            self._refused[key] = refused
            raise

    def _held_against(self, made: Repaired, limit: float, lines: tuple[str, ...]) -> TriedAdvice:
        """Return what a sound skin lacks of what is seen of the mesh."""
        points = self._seen.points
        if made.unwanted is not None:
            points = off_unwanted(points, made.unwanted)
        off = MeshDistance(made.mesh).unsigned(points)
        kept = 100.0 * float((off <= limit + self._deviation).mean()) if len(points) else 0.0
        if kept >= ChecksTable().covered:
            return TriedAdvice(lines, "", kept)
        why = f"checks.covered: the skin has {kept:.3g} percent of what is seen of the mesh"
        if len(points):
            why += f"; the place furthest from it, {off.max():.3g} mm, is {place_words(points[off.argmax()])}"
        return TriedAdvice(lines, why, kept)

    @cached_property
    def _seen(self) -> AsGiven:
        return as_given(self._mesh, 0.0)
