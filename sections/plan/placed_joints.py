"""Stringing dowels, keys and bolts on the runs of one pair of sections."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import product

import numpy as np
from scipy.spatial import cKDTree

from sections.features import JointSet
from sections.features.feature import Joint
from sections.plan.runs import Run

_CANDIDATES = 120


@dataclass(frozen=True)
class PlacedJoint:
    """One joint at one station of one run."""

    joint: Joint
    run: int
    station: int


@dataclass(frozen=True)
class Shortage:
    """A joint that found no room: which kind, and why, in words."""

    kind: str
    reason: str


class _Taken:
    """What is taken on the seam: places (2,) mm and how far, mm, each keeps others off."""

    def __init__(self) -> None:
        self._places: list[tuple[np.ndarray, float]] = []

    def free(self, places: np.ndarray, half: float) -> np.ndarray:
        """Return which of (n, 2) places have room and keep `half` mm from everything taken."""
        ok = ~np.isnan(places[:, 0])
        for at, taken in self._places:
            ok[ok] = np.linalg.norm(places[ok] - at, axis=1) >= half + taken
        return ok

    def take(self, place: np.ndarray, half: float) -> None:
        """Mark `half` mm around a place as taken."""
        self._places.append((place, half))

    def give_back(self, place: np.ndarray) -> None:
        """Free what was taken around a place."""
        self._places = [(at, half) for at, half in self._places if (at != place).any()]


def _nearest(run: Run, candidates: np.ndarray, arc: float) -> int | None:
    """Return the candidate station nearest to a place on the line, or None."""
    where = np.flatnonzero(candidates)
    if not len(where):
        return None
    return int(where[np.abs(run.arc[where] - arc).argmin()])


# The order in which kinds take their places, and where along its share of a run a bolt is first looked for; tried
# in turn until nothing is missing.
_ORDERS = (("dowel", "key", "bolt"), ("dowel", "bolt", "key"), ("bolt", "dowel", "key"), ("key", "bolt", "dowel"))
# Of the most that dowels could be apart, so much is well apart (common practice, no source).
_WELL_APART = 0.7
_BOLT_PLACES = (0.5, 0.4, 0.6, 0.3, 0.7, 0.2, 0.8)


def place_joints(
    runs: list[Run], rooms: dict[str, list[np.ndarray]], joints: JointSet, pitch: float
) -> tuple[list[PlacedJoint], list[Shortage]]:
    """Return the joints of one pair of sections, and what found no room.

    runs : longest first. rooms : by kind wanted, per run, (stations, 2) places with room, NaN where none. joints :
    what goes on. pitch : mm, the most between neighbouring bolts. Dowels go as far apart as they can, a key in the
    middle of every run that has room for one, bolts over the rest. On a short seam another order, bolts off the middle,
    or one bolt a run less, may place what this cannot: of what leaves least out, that whose bolts reach all of the line
    they can is taken, of those that with the dowels well apart, and of those the first.
    """
    wide = _WELL_APART * _widest(rooms.get("dowel", []), joints.slot.half_length)
    reach = max(pitch, _off_bolts(runs, [places[~np.isnan(places[:, 0])] for places in rooms.get("bolt", [])]))
    best: tuple[tuple[int, float, float], tuple[list[PlacedJoint], list[Shortage]]] | None = None
    for less, place, order in product((0, 1), _BOLT_PLACES, _ORDERS):
        made = _Placing(runs, rooms, joints, pitch, place, less, _Taken()).in_order(order)
        off = _off_bolts(runs, [_places_of("bolt", made[0], rooms)])
        rank = len(made[1]), max(off - reach, 0.0), -min(_dowels_apart(made[0], rooms), wide)
        if best is None or rank < best[0]:
            best = rank, made
        if rank == (0, 0.0, -wide):
            break
    return best[1]


def _places_of(kind: str, placed: list[PlacedJoint], rooms: dict[str, list[np.ndarray]]) -> np.ndarray:
    """Return where the joints of one kind are, (n, 2) mm."""
    return np.array([rooms[kind][one.run][one.station] for one in placed if one.joint.kind == kind]).reshape(-1, 2)


def _off_bolts(runs: list[Run], bolts: list[np.ndarray]) -> float:
    """Return how far, mm, the place on the joint line is from its nearest bolt that is furthest from any; 0 without
    bolts, each (n, 2) mm."""
    places, line = np.vstack([np.empty((0, 2)), *bolts]), np.vstack([np.empty((0, 2)), *(run.points for run in runs)])
    return float(cKDTree(places).query(line)[0].max()) if len(places) and len(line) else 0.0


def _widest(rooms: list[np.ndarray], half: float) -> float:
    """Return how far apart, mm, two dowels could be if nothing else took their places; 0 where there is no room."""
    ends = _far_apart(rooms, [~np.isnan(places[:, 0]) for places in rooms], 2 * half)
    return 0.0 if ends is None else float(np.linalg.norm(np.subtract(*(rooms[run][at] for run, at in ends))))


def _dowels_apart(placed: list[PlacedJoint], rooms: dict[str, list[np.ndarray]]) -> float:
    """Return how far apart the two dowels placed are, mm; 0 without two."""
    at = _places_of("dowel", placed, rooms)
    return float(np.linalg.norm(at[1] - at[0])) if len(at) == 2 else 0.0


@dataclass(frozen=True)
class _Placing:
    """One try. share : where in its share of a run a bolt is looked for, 0 to 1. less : bolts a run has less than its
    length asks for, one at least."""

    runs: list[Run]
    rooms: dict[str, list[np.ndarray]]
    joints: JointSet
    pitch: float
    share: float
    less: int
    taken: _Taken

    def in_order(self, order: tuple[str, ...]) -> tuple[list[PlacedJoint], list[Shortage]]:
        """Return what was placed, kind by kind, and what found no room."""
        place = {"dowel": self._dowels, "key": self._keys, "bolt": self._bolts}
        made = {kind: place[kind]() for kind in order if kind in self.rooms}
        names = {"dowel": "two dowels", "key": "a key", "bolt": "a bolt"}
        short = [Shortage(kind, _why(self.rooms[kind], names[kind])) for kind in names if made.get(kind) == []]
        return [one for kind in names for one in made.get(kind, [])], short

    def _free(self, joint: Joint, run: int) -> np.ndarray:
        return self.taken.free(self.rooms[joint.kind][run], joint.half_length)

    def _take(self, joint: Joint, run: int, station: int) -> None:
        self.taken.take(self.rooms[joint.kind][run][station], joint.half_length)

    def _dowels(self) -> list[PlacedJoint]:
        """Return the round dowel and the slot dowel, as far apart as there is room, or nothing."""
        pair = (self.joints.dowel, self.joints.slot)
        free = [self._free(pair[1], run) for run in range(len(self.runs))]
        ends = _far_apart(self.rooms["dowel"], free, 2 * pair[1].half_length)
        if ends is None:
            return []
        placed = []
        for joint, (run, station) in zip(pair, ends, strict=True):
            self._take(joint, run, station)
            placed.append(PlacedJoint(joint, run, station))
        return placed

    def _keys(self) -> list[PlacedJoint]:
        """Return one key a run, as near its middle as there is room."""
        key = self.joints.key
        placed = []
        for index, run in enumerate(self.runs):
            station = _nearest(run, self._free(key, index), run.length / 2)
            if station is not None:
                self._take(key, index, station)
                placed.append(PlacedJoint(key, index, station))
        return placed

    def _bolts(self) -> list[PlacedJoint]:
        """Return bolts along every run, each in its own equal share no longer than the pitch, moved to room."""
        return [PlacedJoint(self.joints.bolts[0], i, s) for i in range(len(self.runs)) for s in self._bolts_on(i)]

    def _bolts_on(self, index: int) -> list[int]:
        run, bolt = self.runs[index], self.joints.bolts[0]
        count = max(int(np.ceil(run.length / self.pitch)) - self.less, 1)
        chosen: list[int] = []
        for target in (np.arange(count) + self.share) * run.length / count:
            station = _nearest(run, self._free(bolt, index), target)
            if station is not None and abs(run.arc[station] - target) < max(self.pitch / 2, run.length / 2):
                self._take(bolt, index, station)
                chosen.append(station)
        return self._without_spare(index, chosen + self._fill_gaps(index, chosen))

    def _fill_gaps(self, index: int, chosen: list[int]) -> list[int]:
        """Return more stations, taken in the middle of gaps wider than the pitch while there is room in them."""
        run, bolt = self.runs[index], self.joints.bolts[0]
        added: list[int] = []
        while True:
            arcs = np.sort(run.arc[chosen + added])
            gaps = np.diff(arcs)
            wide = [i for i in np.argsort(-gaps) if gaps[i] > self.pitch]
            for i in wide:
                inside = (run.arc > arcs[i]) & (run.arc < arcs[i + 1])
                station = _nearest(run, self._free(bolt, index) & inside, (arcs[i] + arcs[i + 1]) / 2)
                if station is not None:
                    self._take(bolt, index, station)
                    added.append(station)
                    break
            else:
                return added

    def _without_spare(self, index: int, chosen: list[int]) -> list[int]:
        """Return the stations without those whose neighbours on the run are within a pitch of one another anyway."""
        run, places = self.runs[index], self.rooms["bolt"][index]
        kept = sorted(chosen)
        place = 1
        while place < len(kept) - 1:
            if run.arc[kept[place + 1]] - run.arc[kept[place - 1]] <= self.pitch:
                self.taken.give_back(places[kept.pop(place)])
            else:
                place += 1
        return kept


def _why(rooms: list[np.ndarray], what: str) -> str:
    count = sum(int((~np.isnan(places[:, 0])).sum()) for places in rooms)
    if not rooms:
        return f"the common face holds no joint line; no room for {what}"
    return f"{count} of {sum(len(places) for places in rooms)} places have room; not enough for {what}"


def _far_apart(rooms: list[np.ndarray], free: list[np.ndarray], least: float):
    """Return the two (run, station) with room that lie furthest apart, or None when none are `least` apart."""
    where = [(i, s) for i, ok in enumerate(free) for s in np.flatnonzero(ok)]
    if len(where) > _CANDIDATES:
        where = [where[i] for i in np.unique(np.linspace(0, len(where) - 1, _CANDIDATES).astype(int))]
    if len(where) < 2:
        return None
    points = np.array([rooms[i][s] for i, s in where])
    gap = np.linalg.norm(points[:, None] - points[None], axis=2)
    one, two = np.unravel_index(gap.argmax(), gap.shape)
    if gap[one, two] < least:
        return None
    return where[min(one, two)], where[max(one, two)]
