"""The file read again with each of its dimensions changed a little, to see what moves with them."""

from __future__ import annotations

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
    """Return a parameter file with each of its dimensions changed a little, angles left out, and those of which no
    change is taken, which is said. settings : the file as it stands. given : what was given beside it."""
    lengths = [name for name in free_dimensions(parameters, given) if settings.dimensions[name].unit != "deg"]
    found = []
    pool.progress.start("seeing what each dimension moves", len(lengths))
    for name in lengths:
        value = settings.dimensions[name].value
        step = _PART * abs(value) or _OF_NONE
        refused: list[str] = []
        for changed in (value + step, value - step):
            try:
                then = _file_at(name, changed, parameters, given, pool)
            except (BadInput, BuildFailed) as error:
                refused.append(str(error).splitlines()[0])
                continue
            unit = UNITS[settings.dimensions[name].unit]
            found.append(Moved(name, value * unit, (changed - value) * unit, then))
            break
        else:
            pool.progress.say(f"dimensions.{name}: no seam goes with it; changed a little it is refused: {refused[0]}")
        pool.progress.advance(name)
    return found


def _file_at(name: str, value: float, parameters: Path, given: Given, pool: Pool) -> FileAt:
    """Return a parameter file with one dimension at another value, in its own unit. Raises BadInput, BuildFailed."""
    changed = load_settings(parameters, replace(given, dimensions={**given.dimensions, name: repr(value)}))
    return FileAt(changed, body_bounds(changed, parameters.parent, pool.store))
