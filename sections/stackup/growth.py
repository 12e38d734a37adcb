"""What heat does: the body against the donor it is fastened to and the stand it is joined on."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import combinations

import numpy as np

from sections.plan.model import Plan
from sections.settings import Settings
from sections.standards.materials import growth, plastic


@dataclass(frozen=True)
class Grown:
    """Two hardpoints in the warmest or coldest. ids : of both. apart : mm. against : mm, by how much more the body
    grows between them than the donor, less where it is negative. room : mm, what their slots and holes give along the
    line."""

    ids: tuple[str, str]
    apart: float
    against: float
    room: float


@dataclass(frozen=True)
class Heat:
    """expansion : 1e-6/K, None where not known. glass_transition : deg C, as well. body : mm, by which the body's
    longest side grows. stand : mm, of that more than what it stands on. between : hardpoints, worst first."""

    expansion: float | None
    glass_transition: float | None
    long: float
    body: float
    stand: float
    between: tuple[Grown, ...]


def heat_of(plan: Plan, settings: Settings, bounds: np.ndarray) -> Heat:
    """Return what the temperatures asked do to a body of bounds (2, 3) mm."""
    table, given, known = settings.stackup, settings.material, plastic(settings.material.name)
    expansion = known.expansion if known and given.expansion is None else given.expansion
    given_glass = given.glass_transition
    glass = known.glass_transition if known and given_glass is None else given_glass
    long = float((bounds[1] - bounds[0]).max())
    if expansion is None:
        return Heat(None, glass, long, 0.0, 0.0, ())
    warmer = max(
        (table.highest_temperature - table.assembly_temperature, table.lowest_temperature - table.assembly_temperature),
        key=abs,
    )
    grown = _between(plan, expansion - table.donor_expansion, warmer)
    between = tuple(sorted(grown, key=lambda one: one.room - abs(one.against)))
    return Heat(
        expansion, glass, long, growth(long, expansion, warmer),
        growth(long, expansion - table.stand_expansion, warmer), between,
    )  # fmt: skip


def _between(plan: Plan, more: float, warmer: float):
    points = [boss for boss in plan.bosses if boss.boss.kind == "hardpoint"]
    for one, two in combinations(points, 2):
        line = np.array(two.frame.origin) - one.frame.origin
        apart = float(np.linalg.norm(line))
        room = sum(abs(float(line / apart @ np.array(point.frame.x))) * point.boss.travel for point in (one, two))
        yield Grown((one.id, two.id), apart, growth(apart, more, warmer), room)
