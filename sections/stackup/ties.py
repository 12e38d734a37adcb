"""How one section lies on its neighbour: pins that leave play, seam faces drawn together at points that are not
quite true.

A pin that is bought does not shrink, its hole does: a fit found in files not yet larger is too wide in those that
are, by half the diameter times what was lost.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from sections.plan.model import Plan, PlannedJoint, PlannedPair
from sections.settings import Settings
from sections.settings.fit_values import machines_of
from sections.settings.printer import PrinterTable


def pin_tilt(first: float, second: float, spacing: float) -> float:
    """Return the largest tilt, rad, of a part on two pins: diametral clearances and spacing, mm: (c1 + c2) / 2 L, as
    any book on jigs and fixtures derives it."""
    return (first + second) / (2 * spacing)


def slot_length(pin: float, mismatch: float) -> float:
    """Return the least length of a slot, mm, for a pin of a diameter whose place may be off by `mismatch` each way."""
    return pin + 2 * mismatch


@dataclass(frozen=True)
class Tie:
    """One thing that keeps two sections, or a section and what holds it, from moving on one another. name : of what it
    is and where. minus, plus : the sections, minus "" for what holds plus. place : (3,) mm. way : (3,) unit, what is
    kept. off : mm, plus and minus, by which it may be wrong; 3 standard deviations where it is one of many."""

    name: str
    minus: str
    plus: str
    place: np.ndarray
    way: np.ndarray
    off: float


def ties_of(plan: Plan, settings: Settings, contacts: dict[str, np.ndarray]) -> list[Tie]:
    """Return what ties every two sections together. contacts : (n, 3) points of each pair's shared face, as built, by
    the pair's id; pairs that share none are left out."""
    made: list[Tie] = []
    for pair in plan.pairs:
        if pair.id in contacts:
            made += _pins(pair, plan.joints_across(pair.id), settings)
            made += _faces(plan, pair, contacts[pair.id], settings)
    return made


def _pins(pair: PlannedPair, joints: tuple[PlannedJoint, ...], settings: Settings) -> Iterator[Tie]:
    """Yield what the dowels keep: one in two round holes any way in the seam, one in a slot across the slot."""
    where = f"{pair.minus} to {pair.plus}"
    for joint in joints:
        if not joint.joint.locates:
            continue
        play = max(2 * real_fit(settings, joint.joint.fit), _LEAST)
        ways = ("y",) if joint.joint.slot else ("x", "y")
        for way in ways:
            at, along = np.array(joint.frame.origin), np.array(getattr(joint.frame, way))
            yield Tie(f"play of dowels, {where}", pair.minus, pair.plus, at, along, play)


# mm; what nothing is better than.
_LEAST = 1e-3


def _faces(plan: Plan, pair: PlannedPair, points: np.ndarray, settings: Settings) -> Iterator[Tie]:
    normal = np.array(next(seam for seam in plan.seams if seam.id == pair.seam).plane.normal)
    off = max(3 * max(machine.repeatability for machine in machines_of(settings)), _LEAST)
    for point in points:
        yield Tie(f"seam faces, {pair.minus} to {pair.plus}", pair.minus, pair.plus, point, normal, off)


def real_fit(settings: Settings, drawn: float) -> float:
    """Return the clearance per side, mm, that a pin has once printed: less what its hole loses and a printed pin gains,
    on the printer where that is least."""
    return max(drawn - min(_lost(settings, machine) for machine in machines_of(settings)) / 2, 0.0)


def _lost(settings: Settings, machine: PrinterTable) -> float:
    dowels = settings.dowels
    return machine.hole_loss(dowels.diameter) + (machine.outside_oversize if dowels.kind == "printed" else 0.0)


def spread_points(points: np.ndarray, count: int) -> np.ndarray:
    """Return `count` of (n, 3) points, each as far from those before as may be; all of them where there are fewer."""
    chosen = [int(np.linalg.norm(points - points.mean(0), axis=1).argmax())]
    far = np.linalg.norm(points - points[chosen[0]], axis=1)
    while len(chosen) < min(count, len(points)):
        chosen.append(int(far.argmax()))
        far = np.minimum(far, np.linalg.norm(points - points[chosen[-1]], axis=1))
    return points[chosen]
