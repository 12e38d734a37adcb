"""Why there is no plan: what stands in the way, by how much, and the nearest that there would be."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace

import numpy as np

from sections.errors import PARAMETERS, Problem
from sections.seaming.rules import SeamRules
from sections.seaming.search import DEPTH, Node, solve
from sections.seaming.shell import Shell
from sections.seaming.trial import with_flange
from sections.settings import Settings
from sections.settings.joint_line import is_high_enough

# How much larger beds are tried, and how much lower flanges.
_LARGER = (1.03, 1.06, 1.1, 1.15, 1.2, 1.25, 1.3, 1.4, 1.5, 1.75, 2.0, 2.5, 3.0)
_LOWER = (0.9, 0.8, 0.7, 0.6)


def no_plan(settings: Settings, cell: str, shell: Shell, rules: SeamRules) -> Problem:
    """Return what stands in the way of a plan of a cell, and which plans there would be without: places not kept clear
    of, a lower flange, the least larger bed, with the sections each would have."""
    nearest = list(_nearest(settings, shell, rules))
    if len(rules.clear) and (without := _sections(shell, replace(rules, clear=np.empty((0, 5))))):
        places, stand = settings.seams.clear, len(settings.bosses) + len(settings.hardpoints)
        key, value = ("seams.clear", f"{len(places)} places") if places else ("bosses, hardpoints", f"{stand} of them")
        nearest.insert(0, f"{without} sections where seams need not keep clear of them")
        remedy = "move them, or make the places smaller"
    else:
        one, several = settings.printer, settings.printers
        key, value = ("printers", str(len(several))) if several else ("printer.bed", str(one.bed))
        remedy = "a lower flange, fewer places kept clear, seams of your own, or a larger bed"
    known = "; ".join(nearest) or "none for a bed three times as large either"
    return Problem(
        PARAMETERS, key, value, f"a plan of {cell} for the bed; none was found; the nearest: {known}", remedy
    )


def _nearest(settings: Settings, shell: Shell, rules: SeamRules) -> Iterator[str]:
    """Yield in words the plans there would be with one thing else."""

    def height(part: float) -> float:
        return part * settings.flange.height

    def lower(part: float) -> Settings:
        return settings.model_copy(update={"flange": settings.flange.model_copy(update={"height": height(part)})})

    def larger(factor: float) -> SeamRules:
        return replace(rules, rooms=rules.rooms * factor)

    parts = tuple(part for part in _LOWER if is_high_enough(lower(part)))
    part, count = _least(shell, parts, lambda part: with_flange(rules, lower(part)))
    if count:
        yield f"{count} sections with flange.height = {height(part):g}"
    factor, count = _least(shell, _LARGER, larger)
    if count:
        yield f"{count} sections for a bed {100 * factor - 100:.0f} % larger"


def _least(shell: Shell, steps: tuple[float, ...], changed: Callable[[float], SeamRules]) -> tuple[float, int]:
    """Return the first step with which there is a plan, and its sections; 0 sections without any. What does with one
    step does with all after it."""
    counts: dict[int, int] = {}
    low, high = 0, len(steps)
    while low < high:
        middle = (low + high) // 2
        counts[middle] = _sections(shell, changed(steps[middle]))
        low, high = (low, middle) if counts[middle] else (middle + 1, high)
    return (steps[low], counts[low]) if low < len(steps) else (0.0, 0)


def _sections(shell: Shell, rules: SeamRules) -> int:
    """Return how many sections a plan of a shell has, 0 without a plan."""
    found = solve(shell, rules, DEPTH, np.inf)
    return 0 if found is None else _leaves(found.node)


def _leaves(node: Node) -> int:
    return sum(map(_leaves, node.parts)) if node.parts else 1
