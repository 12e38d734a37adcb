"""Plans with seams found for them: carved, looked at, and searched again where they did not come out as thought."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

import numpy as np

from sections.body import Body
from sections.donor.kept_off import KeptOff
from sections.numbers.mesh import MIRROR_Y
from sections.plan.model import NOTED, Place, Plan, PlannedSection, PlannedShortage
from sections.plan.pose import beds_of
from sections.planning.gaps import Gaps, gaps_of
from sections.planning.make_plan import Planned, make_plan
from sections.planning.seam_search import FoundSeams, Search, search_seams, searches_again
from sections.processes.pool import Pool
from sections.results.scratch import Scratch
from sections.seaming.search import Node
from sections.seaming.troubles import Larger, Troubles
from sections.settings import Settings
from sections.wall.kept_body import skin_distance

# How often a plan is searched again at most.
_AGAIN = 8
# mm; how much more room than it lacked a section is given, and how far a seam is kept off where one had no room.
_MORE, _OFF = 1.0, 30.0
_ROUNDING = 1e-3
# mm; what comes too near no deeper than so far below the wall does wherever the seams are.
_WALL = 1.0


@dataclass(frozen=True)
class _Round:
    """One plan as it came out."""

    found: FoundSeams
    planned: Planned
    gaps: Gaps
    troubles: Troubles

    @property
    def rank(self) -> tuple[int, int, int]:
        """What rounds are judged by: sections that fit no bed, then other troubles, then sections."""
        larger, clear = len(self.troubles.larger), len(self.troubles.clear)
        return larger, clear, len(self.planned.plan.sections)


class _GoesOn:
    """From where a search goes on: from the round with the fewest troubles, the latest of equal ones, as long as there
    are other ways to go on from it; no plan is looked at twice."""

    def __init__(self) -> None:
        self._open: list[tuple[tuple[int, int, int], int, Iterator[Search]]] = []
        self._seen: set[tuple[Node, ...]] = set()

    def add(self, search: Search, rank: tuple[int, int, int], again: Iterator[Search]) -> None:
        """Take in a search, what its plan came to, and the ways to go on from it."""
        self._seen.add(search.nodes)
        self._open.append((rank, -len(self._open), again))

    def next(self) -> Search | None:
        """Return the search to be looked at next, None without one."""
        for *_, again in sorted(self._open, key=lambda one: one[:2]):
            for search in again:
                if search.nodes not in self._seen:
                    return search
        return None


def plan_build(
    settings: Settings, body: Body, kept_off: tuple[KeptOff, ...], scratch: Scratch, pool: Pool, only: str | None
):
    """Return (settings with every seam given, the plan of a build, or of the section `only`). Raises BadInput."""
    if settings.seams.mode == "given":
        return settings, make_plan(settings, body, scratch, pool, only)
    found, planned, _ = plan_with_seams(settings, body, kept_off, scratch, pool)
    pool.progress.say(f"seams: {len(found.settings.seams.planes) - len(settings.seams.planes)} found")
    if only is not None:
        planned = make_plan(found.settings, body, scratch, pool, only)
    return found.settings, planned


def plan_with_seams(
    settings: Settings, body: Body, kept_off: tuple[KeptOff, ...], scratch: Scratch, pool: Pool
) -> tuple[FoundSeams, Planned, Gaps]:
    """Return (seams found for a body, the plan they make, how near that comes to what is kept off), of all rounds the
    one with the fewest troubles. Raises BadInput where no plan is found."""
    search: Search | None = search_seams(settings, body, kept_off, scratch, pool)
    best, last, goes_on = None, None, _GoesOn()
    for _ in range(1 + _AGAIN):
        found = search.found()
        planned = make_plan(found.settings, body, scratch, pool)
        last = _looked_at(found, planned, gaps_of(settings, planned, kept_off, scratch, pool), settings, scratch)
        best = last if best is None or last.rank < best.rank else best
        if not len(last.troubles):
            break
        pool.progress.say(_told(last.troubles))
        goes_on.add(search, last.rank, searches_again(search, last.troubles, scratch, pool))
        search = goes_on.next()
        if search is None:
            break
    if best is not last:
        return best.found, make_plan(best.found.settings, body, scratch, pool), best.gaps
    return best.found, best.planned, best.gaps


def _told(troubles: Troubles) -> str:
    large, short = len(troubles.larger), len(troubles.clear)
    return f"sections too large: {large}, seams without room or too near something: {short}; searched again there"


def too_large(settings: Settings, plan: Plan) -> Iterator[tuple[PlannedSection, int, float]]:
    """Yield (section, axis of the bed, room along it, mm) for sections that fit no bed, where they lack the most."""
    rooms = {bed.printer: np.array(bed.room) for bed in beds_of(settings)}
    for section in plan.sections:
        over = np.array(section.size) - rooms[section.printer]
        if over.max() > _ROUNDING:
            axis = int(over.argmax())
            yield section, axis, float(rooms[section.printer][axis])


def _looked_at(found: FoundSeams, planned: Planned, gaps: Gaps, settings: Settings, scratch: Scratch) -> _Round:
    plan = planned.plan
    planes = {seam.id: seam.plane for seam in plan.seams}
    larger: dict[str, Larger] = {}
    for section, axis, room in too_large(settings, plan):
        # A mirror image can be the larger one: tongues may stand on it alone.
        own = section if section.mirror_of is None else plan.section(section.mirror_of)
        wall = planned.blanks[own.id].load_wall(scratch)
        middle = np.average(wall.triangles.mean(1), axis=0, weights=wall.areas_mm2)
        along = section.pose.rotation[:, axis] * (1.0 if own is section else MIRROR_Y)
        bounds = tuple(planes[name].toward(sign) for name, sign in own.seams)
        needed = Larger(bounds, middle, along, section.size[axis] - room + _MORE)
        larger[own.id] = max(larger.get(own.id, needed), needed, key=lambda one: one.lack)
    wall = settings.wall.thickness
    clear = np.vstack([_kept_clear(_crowded(plan), scratch), _kept_clear(_near(plan, gaps), scratch, wall + _WALL)])
    return _Round(found, planned, gaps, Troubles(tuple(larger.values()), clear))


def _kept_clear(places: Iterable[Place], scratch: Scratch, least: float = 0.0) -> np.ndarray:
    """Return places that lie `least` mm below the skin or deeper as rows to keep clear, (m, 5) as in Rules."""
    at = np.unique(np.array(list(places), float).reshape(-1, 3), axis=0)
    depth = skin_distance(scratch.folder).unsigned(at) if len(at) else np.empty(0)
    return np.column_stack([at, np.full(len(at), _OFF), depth])[depth >= least]


def _twice(plan: Plan) -> set[str]:
    """Return the sections that are mirror images of others, and their pairs."""
    mirrored = {section.id for section in plan.sections if section.mirror_of is not None}
    return mirrored | {pair.id for pair in plan.pairs if {pair.minus, pair.plus} <= mirrored}


def _crowded(plan: Plan) -> Iterator[Place]:
    """Yield the places where a seam left no room for joints or a label; of mirrored ones one."""
    twice = _twice(plan)
    for short in plan.shortages:
        if short.kind not in NOTED and short.where not in twice and (at := _where(short, plan)) is not None:
            yield at


def _near(plan: Plan, gaps: Gaps) -> Iterator[Place]:
    """Yield the places, on the half that is searched, where a section or bolt comes too near to something."""
    twice = _twice(plan)
    for finding in gaps.findings:
        x, y, z = finding.where
        yield (x, -y if {finding.part, finding.part.rpartition(":")[0]} & twice else y, z)


def _where(short: PlannedShortage, plan: Plan) -> Place | None:
    """Return a place on the seam that left no room: for a section without a label, amid its joints with the neighbour
    it shares most with; None where it has none."""
    if short.at is not None:
        return short.at
    pairs = [pair for pair in plan.pairs if short.where in (pair.minus, pair.plus) and plan.joints_across(pair.id)]
    if not pairs:
        return None
    joints = plan.joints_across(max(pairs, key=lambda pair: pair.area_mm2).id)
    return tuple(np.mean([joint.frame.origin for joint in joints], axis=0))
