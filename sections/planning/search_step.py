"""What other processes do for a plan: trying ways to cut, settling seams, measuring what they came to."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

from sections.checks.finding import Finding, Measure
from sections.checks.keep_out import approaches
from sections.donor.kept_off import Thing
from sections.numbers.frame import Plane
from sections.planning.blank import Blank
from sections.results.scratch import Scratch, held
from sections.seaming.seam_lines import SeamLine, seam_line
from sections.seaming.search import DEPTH, Found, Way, begin
from sections.wall.kept_body import skin_distance


def try_way(folder: Path, number: int, way: Way, limit: float) -> Found | None:
    """Return the cheapest plan of a part kept in a scratch folder, begun one way, that costs less than `limit`; None
    without one."""
    return begin(held(folder, f"part-{number}"), way, held(folder, "rules"), DEPTH, limit)


def by_the_rules(folder: Path, function: Callable, task: tuple) -> Any:
    """Return what a function makes of a task and of the rules kept in a scratch folder."""
    return function(*task, held(folder, "rules"))


def measure_lines(folder: Path, blank: Blank, planes: dict[str, Plane], angle: float) -> list[SeamLine]:
    """Return the lines of one bare section, kept in a scratch folder, along its seams.

    angle : deg, below which one counts as shallow.
    """
    wall, skin = blank.load_wall(Scratch(folder)), skin_distance(folder)
    found = [seam_line(wall, seam, plane, skin, angle) for seam, plane in planes.items()]
    return [line for line in found if line is not None]


def measure_gaps(folder: Path, name: str, blank: Blank) -> tuple[list[Finding], list[Measure]]:
    """Return how near one bare section comes to all that is kept off, kept in a scratch folder."""
    return approaches(Thing(name, blank.load_wall(Scratch(folder))), held(folder, "kept-off"))
