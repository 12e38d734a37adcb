"""Finding seams: the cells that given seams leave, each cut further until every section fits."""

from __future__ import annotations

import os
from collections import Counter
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from sections.body import Body
from sections.errors import PARAMETERS, BadInput, Problem
from sections.plan.cells import Cell, divide
from sections.plan.pose import beds_of
from sections.plan.seams import resolve_seams, seam_kinds
from sections.run.pool import Pool
from sections.run.scratch import Scratch, held
from sections.seaming.grid import grid_count, least_count
from sections.seaming.junctions import Junctions
from sections.seaming.naming import Names, Region, seams_of
from sections.seaming.rules import Rules
from sections.seaming.search import DEPTH, Found, Node, Way, begin, solve, ways
from sections.seaming.settle import settled
from sections.seaming.shell import Shell
from sections.seaming.trial import rules_of, trial_shell, trial_skin
from sections.settings import Settings
from sections.settings.joint_line import shortest_run
from sections.settings.joints import SeamPlane
from sections.solids.print_solid import PrintSolid

# How much larger a bed is tried, to say what would do where nothing fits.
_LARGER = (1.1, 1.25, 1.5, 2.0, 3.0)
# What is as cheap as the best so far is looked at all the same, so that which process is first decides nothing.
_TIE = 1e-6


@dataclass(frozen=True)
class FoundSeams:
    """settings : with every seam given. grid : sections of an even grid. least : the fewest by volume."""

    settings: Settings
    grid: int
    least: int


@dataclass(frozen=True)
class _Part:
    """A cell to be cut further."""

    cell: Cell
    shell: Shell


def find_seams(settings: Settings, body: Body, scratch: Scratch, pool: Pool) -> FoundSeams:
    """Return settings with seams found for a body beside those given. Raises BadInput where no plan is found."""
    skin, rooms = trial_skin(body), np.array([bed.room for bed in beds_of(settings)])
    rules = rules_of(settings, skin, rooms)
    room = rooms[rooms.prod(1).argmax()]
    whole = trial_shell(skin, rules.depths)
    given = _with_centre(settings)
    parts = _parts(given, body, whole, rules)
    nodes = _search(given, parts, rules, scratch, pool)
    planes, junctions = list(given.seams.planes), Junctions(shortest_run(settings))
    names = Names(_numbers(planes))
    for part, node in zip(parts, nodes, strict=True):
        planes += seams_of(settled(part.shell, node, rules, junctions), _region(part.cell, given), names)
    seams = given.seams.model_copy(update={"mode": "given", "planes": planes})
    found = given.model_copy(update={"seams": seams})
    return FoundSeams(found, grid_count(whole, room), least_count(whole, settings.wall.thickness, room))


def with_seams(settings: Settings, body: Body, scratch: Scratch, pool: Pool) -> Settings:
    """Return settings whose seams are all given: found first where seams.mode asks for it. Raises BadInput."""
    if settings.seams.mode == "given":
        return settings
    found = find_seams(settings, body, scratch, pool)
    pool.progress.say(f"seams: {len(found.settings.seams.planes) - len(settings.seams.planes)} found")
    return found.settings


def _with_centre(settings: Settings) -> Settings:
    """Return settings whose symmetric body is cut along its centre plane too."""
    planes = settings.seams.planes
    if not settings.body.symmetric or _centre(settings) is not None:
        return settings
    centre = SeamPlane(id=Names(_numbers(planes)).take("y"), axis="y", at=0.0)
    return settings.model_copy(update={"seams": settings.seams.model_copy(update={"planes": [*planes, centre]})})


def _centre(settings: Settings) -> str | None:
    """Return the id of the seam along the centre plane of a symmetric body, or None without one."""
    kinds = seam_kinds(resolve_seams(settings)) if settings.body.symmetric else {}
    return next((name for name, kind in kinds.items() if kind == "centre"), None)


def _numbers(planes: list[SeamPlane]) -> Counter:
    """Return the highest number given to each letter."""
    highest: Counter = Counter()
    for seam in planes:
        highest[seam.id[0]] = max(highest[seam.id[0]], int(seam.id[1:]))
    return highest


def _parts(settings: Settings, body: Body, whole: Shell, rules: Rules) -> list[_Part]:
    """Return the cells given seams leave, but those on the left and those that are to stay whole."""
    cells = divide(PrintSolid.of(body.block, "body"), resolve_seams(settings), settings.body.symmetric)
    unknown = sorted(set(settings.seams.whole) - {cell.id for cell in cells})
    if unknown:
        limit = f"ids of sections that seams.planes make: {', '.join(cell.id for cell in cells[:8])}"
        raise BadInput([Problem(PARAMETERS, "seams.whole", ", ".join(unknown), limit, "mend the id")])
    parts = []
    for cell in cells:
        if cell.side == "L" or cell.id in settings.seams.whole:
            continue
        shell = whole
        for plane in cell.planes:
            shell = shell.split(plane, rules.depths).beyond
        parts.append(_Part(cell, shell))
    return [part for part in parts if len(part.shell)]


def _region(cell: Cell, settings: Settings) -> Region:
    """Return where a cell lies, in the ids of the parameter file."""
    sides = tuple(f"{'+' if sign > 0 else '-'}{seam.given}" for seam, sign in cell.seams)
    middle = _centre(settings)
    letters = frozenset(seam.id[0] for seam in settings.seams.planes if seam.id != middle)
    centre = None if middle is None else f"+{middle}"
    # The centre plane alone needs no saying: a seam found on one half is mirrored.
    return Region(() if sides == (centre,) else sides, letters, centre)


def _search(settings: Settings, parts: list[_Part], rules: Rules, scratch: Scratch, pool: Pool) -> list[Node]:
    """Return the cheapest plan found for each part: a part that fits is left as it is."""
    scratch.put("seam-rules", rules)
    tasks, names = [], []
    for number, part in enumerate(parts):
        if rules.fitting(part.shell) is None:
            scratch.put(f"seam-part-{number}", part.shell)
            for way in sorted(ways(part.shell, rules, DEPTH), key=lambda way: way.count):
                tasks.append((scratch.folder, number, way))
                names.append(f"{part.cell.id}, {way.count or 'strip'}")
    plans: dict[int, list[Found]] = {number: [] for _, number, _ in tasks}
    for (_, number, _), found in zip(tasks, pool.map("finding seams", try_way, tasks, names), strict=True):
        plans[number] += [found] if found is not None else []
    for number, found in plans.items():
        if not found:
            raise BadInput([_no_plan(settings, parts[number], rules)])
    best = {number: min(found, key=lambda one: one.cost).node for number, found in plans.items()}
    return [best.get(number, Node()) for number in range(len(parts))]


def try_way(folder: Path, number: int, way: Way) -> Found | None:
    """Return the cheapest plan of a part kept in a scratch folder, begun one way; None where another has been cheaper
    already."""
    best = folder / f"seam-best-{number}"
    limit = float(best.read_text()) * (1 + _TIE) if best.exists() else np.inf
    found = begin(held(folder, f"seam-part-{number}"), way, held(folder, "seam-rules"), DEPTH, limit)
    if found is not None and found.cost < limit:
        fresh = best.with_name(f"{best.name}-{os.getpid()}")
        fresh.write_text(repr(float(found.cost)))
        fresh.replace(best)
    return found


def _no_plan(settings: Settings, part: _Part, rules: Rules) -> Problem:
    """Return what stands in the way of a plan, and with how much more room there would be one."""
    where = f"a plan of {part.cell.id} for the bed"
    if len(rules.clear) and _solvable(part, replace(rules, clear=np.empty((0, 5)))):
        places = settings.seams.clear
        key, value = ("seams.clear", f"{len(places)} places") if places else ("bosses", f"{len(settings.bosses)}")
        limit = f"{where}; none was found, and one is where seams need not keep clear of them"
        return Problem(PARAMETERS, key, value, limit, "move them, or make the places smaller")
    one, several = settings.printer, settings.printers
    key, value = ("printers", str(len(several))) if several else ("printer.bed", str(one.bed))
    larger = next((factor for factor in _LARGER if _solvable(part, replace(rules, rooms=rules.rooms * factor))), None)
    known = f"one is for a bed {100 * larger - 100:.0f} % larger" if larger else "for one three times as large neither"
    remedy = "a lower flange, fewer places kept clear, seams of your own, or a larger bed"
    return Problem(PARAMETERS, key, value, f"{where}; none was found; {known}", remedy)


def _solvable(part: _Part, rules: Rules) -> bool:
    return solve(part.shell, rules, DEPTH, np.inf) is not None
