"""The file read again with each of its dimensions changed a little, to see what moves with them."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path

from sections.body import body_bounds
from sections.errors import BadInput, BuildFailed
from sections.processes.pool import Pool
from sections.seaming.following_seams import FileAt, Moved
from sections.settings import Given, Settings, free_dimensions, load_settings
from sections.settings.quantity import UNITS

# Each dimension is changed by this part of it, one way and, where that is refused, the other; one that is 0 by so much.
_PART, _OF_NONE = 0.01, 1.0


def dimensions_moved(parameters: Path, given: Given, settings: Settings, pool: Pool) -> list[Moved]:
    """Return a parameter file with each of its dimensions changed a little; what of none is taken is said and left out.
    settings : the file as it stands. given : what was given beside it."""
    free = free_dimensions(parameters, given)
    found = []
    pool.progress.start("seeing what each dimension moves", len(free))
    for name in free:
        value = settings.dimensions[name].value
        step = _PART * abs(value) or _OF_NONE
        refused: list[str] = []
        for changed in (value + step, value - step):
            try:
                then = _file_at(name, changed, parameters, given, pool)
            except (BadInput, BuildFailed) as error:
                refused.append(str(error).splitlines()[0])
                continue
            found.append(_moved(name, settings.dimensions[name].unit, value, changed, then))
            break
        else:
            pool.progress.say(f"dimensions.{name}: no seam goes with it; changed a little it is refused: {refused[0]}")
        pool.progress.advance(name)
    return found


def _moved(name: str, unit: str, value: float, changed: float, then: FileAt) -> Moved:
    """Return a dimension changed from one value to another, in its own unit; an angle by its sine or cosine, the one
    that changes more: expressions take no millimetres for a degree."""
    if unit != "deg":
        return Moved(name, value * UNITS[unit], (changed - value) * UNITS[unit], then)
    here, there = math.radians(value), math.radians(changed)
    word, of = ("sin", math.sin) if abs(math.cos(here)) >= abs(math.sin(here)) else ("cos", math.cos)
    return Moved(f"{word}({name})", of(here), of(there) - of(here), then)


def _file_at(name: str, value: float, parameters: Path, given: Given, pool: Pool) -> FileAt:
    """Return a parameter file with one dimension at another value, in its own unit. Raises BadInput, BuildFailed."""
    changed = load_settings(parameters, replace(given, dimensions={**given.dimensions, name: repr(value)}))
    return FileAt(changed, body_bounds(changed, parameters.parent, pool.store))
