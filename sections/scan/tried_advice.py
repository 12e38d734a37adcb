"""Advice that was tried: the first lines for a parameter file by which a mesh comes out sound."""

from __future__ import annotations

import tomllib
from collections.abc import Callable, Iterator
from dataclasses import dataclass

import numpy as np

from sections.errors import BadInput
from sections.numbers.mesh import Mesh
from sections.scan.advice import advise
from sections.scan.block import block_behind, depth_behind
from sections.scan.health import Health
from sections.scan.repair import FIRST, THEN, RepairOrder, repair
from sections.scan.sound_mesh import sound_mesh, sound_open_mesh
from sections.settings.body import MeshTable, WallTable
from sections.settings.joints import FlangeTable
from sections.settings.scan import RepairTable
from sections.solids.soundness import FOLDS_PER_DEVIATION
from sections.solids.wrapping import NoInside, faces_of_wrap, refuse_sheet

# Wraps tried, as parts of the mesh's diagonal: narrow ones keep more of it. mm; the limit each is given.
_GAPS, _LIMIT = (1 / 200, 1 / 60, 1 / 20), 0.5
_DIGITS, _ROUND_UP = 3, 1.05
# Wraps of more faces are not tried: some minutes each.
_MOST_FACES = 600_000


@dataclass(frozen=True)
class TriedAdvice:
    """Lines for a parameter file, and why they do not do; "" where the mesh comes out sound."""

    lines: tuple[str, ...]
    why: str


def try_advice(
    mesh: Mesh, health: Health, deviation: float, what: str, say: Callable[[str], None]
) -> list[TriedAdvice]:
    """Return what was tried on a welded mesh, mm, in turn, until something did; an empty list for a sound one.

    deviation : mm, of the build. say : told what is being tried.
    """
    tried = []
    for lines in (*_steps(health), *_wraps(health)):
        say(", ".join(line for line in lines if not line.startswith(("[", "#"))))
        tried.append(TriedAdvice(lines, _why_not(mesh, lines, deviation, what)))
        if not tried[-1].why:
            break
    return tried + _or_closed(mesh, health, deviation, what, tried)


def _or_closed(mesh: Mesh, health: Health, deviation: float, what: str, tried: list[TriedAdvice]) -> list[TriedAdvice]:
    """Return the other way on for what came out sound as an open skin: its holes closed, where that does too."""
    if not tried or tried[-1].why or "open = true" not in tried[-1].lines:
        return []
    widest = max(hole.span for hole in health.holes)
    steps = [line for line in tried[-1].lines if not line.startswith(("[body]", "open =", "holes ="))]
    lines = (*steps, f"holes = {_rounded(_ROUND_UP * widest):g}")
    why = _why_not(mesh, lines, deviation, what)
    return [] if why else [TriedAdvice(lines, "")]


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
        room = 2 * WallTable().thickness + MeshTable().pitch
        candidates.append((*candidates[-1], f"hems = {room:g}"))
    return candidates


def _wraps(health: Health) -> Iterator[tuple[str, ...]]:
    """Yield wraps, from narrow to wide; none for what even the widest finds no inside in, or that take too long."""
    if health.is_sound:
        return
    diagonal = float(np.linalg.norm(health.mesh.size))
    limit = max(_LIMIT, _rounded(diagonal / 10_000))
    gaps = [max(_rounded(part * diagonal), 10 * limit) for part in _GAPS]
    try:
        refuse_sheet(health.mesh, gaps[-1])
    except NoInside:
        return
    for gap in gaps:
        if faces_of_wrap(health.mesh, gap) <= _MOST_FACES:
            yield ("[repair]", f"limit = {limit:g}", f"wrap = {gap:g}")


def _rounded(value: float) -> float:
    return float(f"{value:.{_DIGITS}g}")


def _why_not(mesh: Mesh, lines: tuple[str, ...], deviation: float, what: str) -> str:
    """Return why a mesh is not sound after what the lines ask for; "" where it is."""
    asked = tomllib.loads("\n".join(lines))
    order = RepairOrder(
        RepairTable.model_validate(asked.get("repair", {})), None, deviation / FOLDS_PER_DEVIATION, what
    )
    try:
        made = repair(mesh, order, (*FIRST, *THEN))
        if asked.get("body", {}).get("open"):
            skin = sound_open_mesh(made.mesh, deviation, None, what)
            # As deep as a build goes whose flange, wall and pitch are not given.
            depth = depth_behind(FlangeTable().height, WallTable().thickness, MeshTable().pitch)
            block_behind(skin, depth, deviation / FOLDS_PER_DEVIATION, what)
        else:
            sound_mesh(made.mesh, deviation, what)
    except BadInput as refused:
        one = refused.problems[0]
        return f"{one.key}: {one.limit}"
    return ""
