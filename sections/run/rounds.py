"""Plans with seams found for them: carved, looked at, and searched again where they did not come out as thought."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from sections.body import Body
from sections.donor.kept_off import KeptOff
from sections.plan.model import Place, Plan, PlannedSection, PlannedShortage
from sections.plan.pose import beds_of
from sections.run.planning import Planned, make_plan
from sections.run.pool import Pool
from sections.run.scratch import Scratch, skin_distance
from sections.run.seaming import FoundSeams, Search, search_again, search_seams
from sections.seaming.troubles import Larger, Troubles
from sections.settings import Settings

# How often a plan is searched again at most.
_AGAIN = 8
# mm; how much more room than it lacked a section is given, and how far a seam is kept off where one had no room.
_MORE, _OFF = 1.0, 30.0
_ROUNDING = 1e-3


@dataclass(frozen=True)
class _Round:
    """One plan as it came out."""

    found: FoundSeams
    planned: Planned
    troubles: Troubles

    @property
    def rank(self) -> tuple[int, int, int]:
        """What rounds are judged by: sections that fit no bed, then other troubles, then sections."""
        larger, clear = len(self.troubles.larger), len(self.troubles.clear)
        return larger, clear, len(self.planned.plan.sections)


def plan_build(
    settings: Settings, body: Body, kept_off: tuple[KeptOff, ...], scratch: Scratch, pool: Pool, only: str | None
):
    """Return (settings with every seam given, the plan of a build, or of the section `only`). Raises BadInput."""
    if settings.seams.mode == "given":
        return settings, make_plan(settings, body, scratch, pool, only)
    found, planned = plan_with_seams(settings, body, kept_off, scratch, pool)
    pool.progress.say(f"seams: {len(found.settings.seams.planes) - len(settings.seams.planes)} found")
    if only is not None:
        planned = make_plan(found.settings, body, scratch, pool, only)
    return found.settings, planned


def plan_with_seams(
    settings: Settings, body: Body, kept_off: tuple[KeptOff, ...], scratch: Scratch, pool: Pool
) -> tuple[FoundSeams, Planned]:
    """Return seams found for a body and the plan they make, the one with the fewest troubles of all rounds. Raises
    BadInput where no plan is found."""
    search: Search | None = search_seams(settings, body, kept_off, scratch, pool)
    best, last = None, None
    for _ in range(1 + _AGAIN):
        found = search.found()
        last = _looked_at(found, make_plan(found.settings, body, scratch, pool), settings, scratch)
        best = last if best is None or last.rank < best.rank else best
        if not len(last.troubles):
            break
        pool.progress.say(_told(last.troubles))
        before, search = search, search_again(search, last.troubles, scratch, pool)
        if search is None or search.nodes == before.nodes:
            break
    if best is not last:
        return best.found, make_plan(best.found.settings, body, scratch, pool)
    return best.found, best.planned


def _told(troubles: Troubles) -> str:
    large, short = len(troubles.larger), len(troubles.clear)
    return f"sections too large: {large}, seams without room for joints or a mark: {short}; searched again there"


def too_large(settings: Settings, plan: Plan) -> Iterator[tuple[PlannedSection, int, float]]:
    """Yield (section, axis of the bed, room along it, mm) for sections that fit no bed, where they lack the most."""
    rooms = {bed.printer: np.array(bed.room) for bed in beds_of(settings)}
    for section in plan.sections:
        over = np.array(section.size) - rooms[section.printer]
        if over.max() > _ROUNDING:
            axis = int(over.argmax())
            yield section, axis, float(rooms[section.printer][axis])


def _looked_at(found: FoundSeams, planned: Planned, settings: Settings, scratch: Scratch) -> _Round:
    plan = planned.plan
    planes = {seam.id: seam.plane for seam in plan.seams}
    larger = []
    for section, axis, room in too_large(settings, plan):
        if section.mirror_of is None:
            wall = planned.blanks[section.id].load_wall(scratch)
            middle = np.average(wall.triangles.mean(1), axis=0, weights=wall.areas_mm2)
            own = tuple(planes[name].toward(sign) for name, sign in section.seams)
            larger.append(Larger(own, middle, section.pose.rotation[:, axis], section.size[axis] - room + _MORE))
    return _Round(found, planned, Troubles(tuple(larger), _crowded(plan, scratch)))


def _crowded(plan: Plan, scratch: Scratch) -> np.ndarray:
    """Return the places, (m, 5) as in Rules, where a seam left no room for joints or a mark; of mirrored ones one."""
    mirrored = {section.id for section in plan.sections if section.mirror_of is not None}
    twice = mirrored | {pair.id for pair in plan.pairs if {pair.minus, pair.plus} <= mirrored}
    asked = [_where(short, plan) for short in plan.shortages if short.where not in twice]
    places = np.unique(np.array([at for at in asked if at is not None], float).reshape(-1, 3), axis=0)
    depth = skin_distance(scratch.folder).unsigned(places) if len(places) else np.empty(0)
    return np.column_stack([places, np.full(len(places), _OFF), depth])


def _where(short: PlannedShortage, plan: Plan) -> Place | None:
    """Return a place on the seam that left no room: for a section without a mark, amid its joints with the neighbour
    it shares most with; None where it has none."""
    if short.at is not None:
        return short.at
    pairs = [pair for pair in plan.pairs if short.where in (pair.minus, pair.plus) and plan.joints_across(pair.id)]
    if not pairs:
        return None
    joints = plan.joints_across(max(pairs, key=lambda pair: pair.area_mm2).id)
    return tuple(np.mean([joint.frame.origin for joint in joints], axis=0))
