"""Finding seams: the cells that given seams leave, each cut further until every section fits."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import numpy as np

from sections.body import Body
from sections.body.visible_skin import shown_skin
from sections.donor.kept_off import KeptOff
from sections.errors import PARAMETERS, BadInput, Problem
from sections.plan.cells import Cell, divide_all
from sections.plan.pose import beds_of
from sections.plan.seams import resolve_seams, seam_kinds
from sections.planning.make_plan import panels_of
from sections.planning.no_plan import no_plan
from sections.planning.search_step import by_the_rules, try_way
from sections.processes.pool import Pool
from sections.results.scratch import Scratch
from sections.seaming.grid import grid_count, least_count
from sections.seaming.junctions import Junctions
from sections.seaming.naming import Names, Region, seams_of
from sections.seaming.panel_seams import even_seams
from sections.seaming.rules import SeamRules
from sections.seaming.search import DEPTH, Found, Node, Way, amended, ways
from sections.seaming.settle import settled
from sections.seaming.shell import Shell
from sections.seaming.trial import rules_of, trial_shell
from sections.seaming.troubles import Troubles
from sections.settings import Settings
from sections.settings.joint_line import shortest_run
from sections.settings.joints import SeamPlane
from sections.solids.print_solid import PrintSolid

# So many ways to begin may be tried at once, after all strips.
_BEHIND = 4
# A plan that costs more than so many times the sections of an even grid is looked for only where there is no other.
_OF_GRID = 1.2
# mm; a panel's slices are so much smaller than a bed.
_SPARE = 2.0


@dataclass(frozen=True)
class FoundSeams:
    """settings : with every seam given. grid : sections of an even grid. least : the fewest by volume."""

    settings: Settings
    grid: int
    least: int


@dataclass(frozen=True)
class Search:
    """A search for seams and where it stands. settings : as given, the centre plane added. rules : what seams are
    judged by. parts : what is to be cut. nodes : how each is cut so far, settled. grid, least : as in FoundSeams.
    given : how many places the rules kept clear at first."""

    settings: Settings
    rules: SeamRules
    parts: tuple[CellToCut, ...]
    nodes: tuple[Node, ...]
    grid: int
    least: int
    given: int

    def found(self) -> FoundSeams:
        """Return what it came to, as seams."""
        planes = list(self.settings.seams.planes)
        names = Names(_numbers(planes))
        for part, node in zip(self.parts, self.nodes, strict=True):
            planes += seams_of(node, _region(part.cell, self.settings), names)
        seams = self.settings.seams.model_copy(update={"mode": "given", "planes": planes})
        return FoundSeams(self.settings.model_copy(update={"seams": seams}), self.grid, self.least)


@dataclass(frozen=True)
class CellToCut:
    """A cell to be cut further."""

    cell: Cell
    shell: Shell


def _with_panels(settings: Settings, body: Body, rooms: np.ndarray) -> Settings:
    """Return settings in which seams found cut no panel: each has those it names, or own ones, even, where it has none.

    rooms : (k, 3) mm, of every printer.
    """
    planes = list(settings.seams.planes)
    names, known, openings = Names(_numbers(planes)), {plane.id for plane in planes}, []
    for given in settings.openings:
        opening = given
        if opening.panel is not None:
            named = [name for name in opening.panel.seams or [] if name in known]
            its = [one.panel.mesh for one in body.openings if one.given == opening.id]
            if not named and not any(plane.panel == opening.id for plane in planes):
                solid = PrintSolid.of(body.block, "body").common(PrintSolid.of(its[0], opening.id))
                alone = settings.body.symmetric and not opening.mirror
                planes += even_seams(opening.id, solid.bounds, rooms, names, symmetric=alone)
            opening = opening.model_copy(update={"panel": opening.panel.model_copy(update={"seams": named})})
        openings.append(opening)
    seams = settings.seams.model_copy(update={"planes": planes})
    return settings.model_copy(update={"seams": seams, "openings": openings})


def search_seams(settings: Settings, body: Body, kept_off: tuple[KeptOff, ...], scratch: Scratch, pool: Pool) -> Search:
    """Return a search for seams of a body beside those given. Where no plan keeps all flanges off what is kept off, it
    is left aside. Raises BadInput where no plan is found."""
    skin, rooms = shown_skin(body), np.array([bed.room for bed in beds_of(settings)])
    rules = rules_of(settings, body, kept_off, skin, rooms)
    room = _largest(rooms)
    whole = trial_shell(skin, rules.depths)
    given = _with_panels(_with_centre(settings), body, rooms - _SPARE)
    parts = tuple(_parts(given, body, whole, rules))
    nodes = _search(parts, rules, scratch, pool)
    if None in nodes and rules.keeping is not None:
        pool.progress.say("no seams keep every flange off what is kept off; looked for without that")
        rules = replace(rules, keeping=None)
        nodes = _search(parts, rules, scratch, pool)
    for part, node in zip(parts, nodes, strict=True):
        if node is None:
            raise BadInput([no_plan(settings, part.cell.id, part.shell, rules)])
    grid, least = grid_count(whole, room), least_count(whole, settings.wall.thickness, room)
    return Search(
        given, rules, parts, _settled(given, parts, nodes, rules, scratch, pool), grid, least, len(rules.clear)
    )


def _largest(rooms: np.ndarray) -> np.ndarray:
    return rooms[rooms.prod(1).argmax()]


def searches_again(search: Search, troubles: Troubles, scratch: Scratch, pool: Pool) -> Iterator[Search]:
    """Yield searches gone on with where carving showed troubles. First all that can stay is kept, of as many troubles
    as may be; then parts are searched from the beginning, at last with seams less far off."""
    ways = [(search, some, False) for some in troubles.fewer()]
    ways += [(search, troubles, True), (*_nearer(search, troubles), True)]
    done = set()
    for since, some, anew in ways:
        asked = (np.vstack([since.rules.clear, some.clear]).tobytes(), len(some.larger))
        found = None if asked in done else _amended(since, some, scratch, pool, anew=anew)
        if found is not None or anew:
            # Where all can stay there is nothing to be searched from the beginning.
            done.add(asked)
        if found is not None:
            yield found


def _nearer(search: Search, troubles: Troubles) -> tuple[Search, Troubles]:
    """Return a search and troubles with seams kept less far off wherever carving showed any, now or before."""
    given = search.rules.clear[: search.given]
    shown = replace(troubles, clear=search.rules.clear[search.given :]).nearer().clear
    return replace(search, rules=replace(search.rules, clear=np.vstack([given, shown]))), troubles.nearer()


def _amended(search: Search, troubles: Troubles, scratch: Scratch, pool: Pool, *, anew: bool) -> Search | None:
    """Return a search without troubles, or None. anew : parts of which nothing can stay are searched again."""
    rules = replace(search.rules, clear=np.vstack([search.rules.clear, troubles.clear]))
    parts = tuple(CellToCut(part.cell, troubles.bounded(part.shell, search.rules)) for part in search.parts)
    pairs = zip(parts, search.nodes, strict=True)
    kept = [amended(part.shell, node, rules, DEPTH) for part, node in pairs]
    lost = tuple(part for part, found in zip(parts, kept, strict=True) if found is None)
    if lost and not anew:
        return None
    others = iter(_search(lost, rules, scratch, pool) if lost else [])
    nodes = [next(others) if found is None else found.node for found in kept]
    if None in nodes:
        return None
    settled_nodes = _settled(search.settings, parts, nodes, rules, scratch, pool)
    return replace(search, rules=rules, parts=parts, nodes=settled_nodes)


def _settled(
    settings: Settings, parts: tuple[CellToCut, ...], nodes: list[Node], rules: SeamRules, scratch: Scratch, pool: Pool
) -> tuple[Node, ...]:
    junctions = Junctions(shortest_run(settings))
    folder = scratch.new_folder("settling")
    folder.put("rules", rules)

    def share(function: Callable, tasks: list[tuple]) -> list[Any]:
        given = [(folder.folder, function, task) for task in tasks]
        return pool.map("settling seams", by_the_rules, given, [function.__name__] * len(tasks), few=1)

    pairs = zip(parts, nodes, strict=True)
    return tuple(settled(part.shell, node, rules, junctions, share) for part, node in pairs)


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


def _parts(settings: Settings, body: Body, whole: Shell, rules: SeamRules) -> list[CellToCut]:
    """Return the cells given seams leave, but those on the left and those that are to stay whole."""
    whole_body = PrintSolid.of(body.block, "body")
    divided = divide_all(
        whole_body, resolve_seams(settings), panels_of(settings, body), symmetric=settings.body.symmetric
    )
    cells = [cell for cell in divided if not cell.panel]
    unknown = sorted(set(settings.seams.whole) - {cell.id for cell in cells})
    if unknown:
        limit = f"ids of sections that seams.planes make: {', '.join(cell.id for cell in cells[:8])}"
        raise BadInput([Problem(PARAMETERS, "seams.whole", ", ".join(unknown), limit, "correct the id")])
    parts, middle = [], _centre(settings)
    for cell in cells:
        if cell.side == "L" or cell.id in settings.seams.whole:
            continue
        shell = whole
        for (seam, sign), plane in zip(cell.seams, cell.planes, strict=True):
            # Tongues stand on the minus side, at the centre plane on one of two mirror images.
            tongued = rules.depths.tongue and (sign < 0 or seam.given == middle)
            if tongued:
                shell = shell.split(plane.flipped(), rules.depths).short
            else:
                shell = shell.split(plane, rules.depths).beyond
        parts.append(CellToCut(cell, shell))
    return [part for part in parts if len(part.shell)]


def _region(cell: Cell, settings: Settings) -> Region:
    """Return where a cell lies, in the ids of the parameter file."""
    sides = tuple(f"{'+' if sign > 0 else '-'}{seam.given}" for seam, sign in cell.seams)
    middle = _centre(settings)
    letters = frozenset(seam.id[0] for seam in settings.seams.planes if seam.id != middle)
    centre = None if middle is None else f"+{middle}"
    # The centre plane alone needs no saying: a seam found on one half is mirrored.
    return Region(() if sides == (centre,) else sides, letters, centre)


def _search(parts: tuple[CellToCut, ...], rules: SeamRules, scratch: Scratch, pool: Pool) -> list[Node | None]:
    """Return the cheapest plan found for each part, None without one: a part that fits is left as it is."""
    folder = scratch.new_folder("search")
    folder.put("rules", rules)
    nodes: list[Node | None] = []
    for number, part in enumerate(parts):
        if rules.fitting(part.shell) is not None:
            nodes.append(Node())
            continue
        folder.put(f"part-{number}", part.shell)
        limits = (_OF_GRID * grid_count(part.shell, _largest(rules.rooms)), np.inf)
        found = (_cheapest(part, rules, (folder.folder, number), limit, pool) for limit in limits)
        best = next((one for one in found if one is not None), None)
        nodes.append(best.node if best else None)
    return nodes


def _cheapest(part: CellToCut, rules: SeamRules, kept: tuple[Path, int], limit: float, pool: Pool) -> Found | None:
    """Return the cheapest plan found for a part that costs less than `limit`, or None. kept : its folder and number.

    What strips come to is a limit of all other ways, what a way comes to one of those well behind it.
    """
    todo = sorted(ways(part.shell, rules, DEPTH), key=lambda way: way.count)
    strips, others = ([way for way in todo if bool(way.count) == is_cut] for is_cut in (False, True))
    best = None
    for some, behind in ((strips, len(strips)), (others, _BEHIND)):
        best = _best([best, *_tried(part.cell.id, kept, some, behind, best.cost if best else limit, pool)])
    return best


def _tried(
    cell: str, kept: tuple[Path, int], some: list[Way], behind: int, limit: float, pool: Pool
) -> list[Found | None]:
    """Return what ways to begin come to that cost less than `limit` and than those `behind` places before them."""

    def task(number: int, results: list[Found | None]) -> tuple:
        return (*kept, some[number], min([limit, *(found.cost for found in results if found)]))

    names = [f"{cell}, {way.count or 'strip'}" for way in some]
    return pool.map_behind(f"finding seams in {cell}", try_way, task, names, behind)


def _best(found: list[Found | None]) -> Found | None:
    """Return the cheapest of what was found, the first of equals; None where nothing was."""
    return min((one for one in found if one is not None), key=lambda one: one.cost, default=None)
