"""The file read again with each of its dimensions changed a little, to see what moves with them."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

from sections.body import body_bounds
from sections.errors import BadInput, BuildFailed
from sections.processes.pool import Pool
from sections.seaming.pins import FileAt, Moved
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
        refused: list[str] = []
        one = next(_changed(name, parameters, given, settings, pool, refused), None)
        if one is None:
            pool.progress.say(f"dimensions.{name}: no seam goes with it; changed a little it is refused: {refused[0]}")
        else:
            found.append(one)
        pool.progress.advance(name)
    return found


def _changed(
    name: str, parameters: Path, given: Given, settings: Settings, pool: Pool, refused: list[str]
) -> Iterator[Moved]:
    """Yield the file with one dimension changed, each way that is taken. refused : is told why a way is not."""
    dimension = settings.dimensions[name]
    unit, step = UNITS[dimension.unit], _PART * abs(dimension.value) or _OF_NONE
    for by in (step, -step):
        values = {**given.dimensions, name: repr(dimension.value + by)}
        try:
            changed = load_settings(parameters, replace(given, dimensions=values))
            bounds = body_bounds(changed, parameters.parent, pool.store)
        except (BadInput, BuildFailed) as error:
            refused.append(str(error).splitlines()[0])
            continue
        yield Moved(name, dimension.value * unit, by * unit, FileAt(changed, bounds))
