"""Stringing dowels, keys and bolts on the runs of one pair of sections."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sections.features.feature import Joint
from sections.plan.runs import Run

_CANDIDATES = 120


@dataclass(frozen=True)
class Placed:
    """One joint at one station of one run."""

    joint: Joint
    run: int
    station: int


@dataclass(frozen=True)
class Shortage:
    """A joint that found no room: which kind, and why, in words."""

    kind: str
    reason: str


class _Line:
    """The stations of one run, and what is taken of them."""

    def __init__(self, run: Run):
        self.run = run
        self.taken: list[tuple[float, float]] = []

    def free(self, half: float) -> np.ndarray:
        """Return which stations keep `half` mm from everything taken."""
        ok = np.ones(len(self.run.arc), bool)
        for at, taken in self.taken:
            gap = np.abs(self.run.arc - at)
            if self.run.closed:
                gap = np.minimum(gap, self.run.length - gap)
            ok &= gap >= half + taken
        return ok

    def take(self, station: int, half: float) -> None:
        """Mark `half` mm each way around a station as taken."""
        self.taken.append((float(self.run.arc[station]), half))

    def give_back(self, station: int) -> None:
        """Free what was taken around a station."""
        self.taken = [(at, half) for at, half in self.taken if at != float(self.run.arc[station])]

    def nearest(self, candidates: np.ndarray, arc: float) -> int | None:
        """Return the candidate station nearest to a place on the line, or None."""
        where = np.flatnonzero(candidates)
        if not len(where):
            return None
        return int(where[np.abs(self.run.arc[where] - arc).argmin()])


# The order in which kinds take their places, and where along its share of a run a bolt is first looked for; tried
# in turn until nothing is missing.
_ORDERS = (("dowel", "key", "bolt"), ("dowel", "bolt", "key"), ("bolt", "dowel", "key"), ("key", "bolt", "dowel"))
_BOLT_PLACES = (0.5, 0.4, 0.6, 0.3, 0.7, 0.2, 0.8)


def place_joints(
    runs: list[Run], rooms: dict[str, list[np.ndarray]], joints: tuple[Joint, Joint, Joint, Joint], pitch: float
) -> tuple[list[Placed], list[Shortage]]:
    """Return the joints of one pair of sections, and what found no room.

    runs : longest first. rooms : by kind, per run, (stations,) bool. joints : round dowel, slot dowel, key, bolt.
    pitch : mm, the most between neighbouring bolts. Dowels go as far apart as they can, a key in the middle of
    every run that has room for one, bolts over the rest. On a short seam another order, or bolts off the middle,
    may place what this cannot; the first that leaves least out is taken.
    """
    best: tuple[list[Placed], list[Shortage]] | None = None
    for place in _BOLT_PLACES:
        for order in _ORDERS:
            made = _place_in_order(order, runs, rooms, joints, _BoltRule(pitch, place))
            if best is None or len(made[1]) < len(best[1]):
                best = made
            if not best[1]:
                return best
    return best


@dataclass(frozen=True)
class _BoltRule:
    """pitch : mm, the most between bolts. place : where in its share of a run a bolt is looked for, 0 to 1."""

    pitch: float
    place: float


def _place_in_order(order, runs, rooms, joints, rule: _BoltRule) -> tuple[list[Placed], list[Shortage]]:
    round_dowel, slot_dowel, key, bolt = joints
    lines = [_Line(run) for run in runs]
    place = {
        "dowel": lambda: _dowels(lines, rooms["dowel"], round_dowel, slot_dowel),
        "key": lambda: _keys(lines, rooms["key"], key),
        "bolt": lambda: [p for i, line in enumerate(lines) for p in _bolts(line, i, rooms["bolt"][i], bolt, rule)],
    }
    made = {kind: place[kind]() for kind in order}
    names = {"dowel": "two dowels", "key": "a key", "bolt": "a bolt"}
    short = [Shortage(kind, _why(rooms[kind], names[kind])) for kind in names if not made[kind]]
    return made["dowel"] + made["key"] + made["bolt"], short


def _dowels(lines: list[_Line], rooms: list[np.ndarray], round_dowel: Joint, slot_dowel: Joint) -> list[Placed]:
    """Return the round dowel and the slot dowel, as far apart as there is room, or nothing."""
    free = [room & line.free(slot_dowel.half_length) for room, line in zip(rooms, lines, strict=True)]
    ends = _far_apart([line.run for line in lines], free, 2 * slot_dowel.half_length)
    if ends is None:
        return []
    placed = []
    for joint, (run, station) in zip((round_dowel, slot_dowel), ends, strict=True):
        lines[run].take(station, joint.half_length)
        placed.append(Placed(joint, run, station))
    return placed


def _why(rooms: list[np.ndarray], what: str) -> str:
    count = sum(int(room.sum()) for room in rooms)
    if not rooms:
        return f"the common face holds no joint line; no room for {what}"
    return f"{count} of {sum(len(room) for room in rooms)} places have room; not enough for {what}"


def _far_apart(runs: list[Run], rooms: list[np.ndarray], least: float):
    """Return the two (run, station) with room that lie furthest apart, or None when none are `least` apart."""
    where = [(i, s) for i, room in enumerate(rooms) for s in np.flatnonzero(room)]
    if len(where) > _CANDIDATES:
        where = [where[i] for i in np.unique(np.linspace(0, len(where) - 1, _CANDIDATES).astype(int))]
    if len(where) < 2:
        return None
    points = np.array([runs[i].points[s] for i, s in where])
    gap = np.linalg.norm(points[:, None] - points[None], axis=2)
    one, two = np.unravel_index(gap.argmax(), gap.shape)
    if gap[one, two] < least:
        return None
    return where[min(one, two)], where[max(one, two)]


def _keys(lines: list[_Line], rooms: list[np.ndarray], key: Joint) -> list[Placed]:
    """Return one key a run, as near its middle as there is room."""
    placed = []
    for index, line in enumerate(lines):
        station = line.nearest(rooms[index] & line.free(key.half_length), line.run.length / 2)
        if station is not None:
            line.take(station, key.half_length)
            placed.append(Placed(key, index, station))
    return placed


def _bolts(line: _Line, index: int, room: np.ndarray, bolt: Joint, rule: _BoltRule) -> list[Placed]:
    """Return bolts along a run, each in its own equal share no longer than the pitch, moved to room."""
    pitch = rule.pitch
    count = max(int(np.ceil(line.run.length / pitch)), 1)
    chosen: list[int] = []
    for target in (np.arange(count) + rule.place) * line.run.length / count:
        station = line.nearest(room & line.free(bolt.half_length), target)
        if station is not None and abs(line.run.arc[station] - target) < max(pitch / 2, line.run.length / 2):
            line.take(station, bolt.half_length)
            chosen.append(station)
    chosen = _without_spare(line, chosen + _fill_gaps(line, room, bolt, chosen, pitch), pitch)
    return [Placed(bolt, index, station) for station in sorted(chosen)]


def _fill_gaps(line: _Line, room: np.ndarray, bolt: Joint, chosen: list[int], pitch: float) -> list[int]:
    """Return more stations, taken in the middle of gaps wider than the pitch while there is room in them."""
    added: list[int] = []
    while True:
        arcs = np.sort(line.run.arc[chosen + added])
        gaps = np.diff(arcs)
        wide = [i for i in np.argsort(-gaps) if gaps[i] > pitch]
        for i in wide:
            inside = (line.run.arc > arcs[i]) & (line.run.arc < arcs[i + 1])
            station = line.nearest(room & inside & line.free(bolt.half_length), (arcs[i] + arcs[i + 1]) / 2)
            if station is not None:
                line.take(station, bolt.half_length)
                added.append(station)
                break
        else:
            return added


def _without_spare(line: _Line, chosen: list[int], pitch: float) -> list[int]:
    """Return the stations without those whose neighbours on the run are within a pitch of one another anyway."""
    kept = sorted(chosen)
    place = 1
    while place < len(kept) - 1:
        if line.run.arc[kept[place + 1]] - line.run.arc[kept[place - 1]] <= pitch:
            line.give_back(kept.pop(place))
        else:
            place += 1
    return kept
