"""Stringing joints on the runs of one pair of sections."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import product

import numpy as np
from scipy.spatial import cKDTree

from sections.features.feature import Joint, JointKind, Strung
from sections.plan.room import RoomFor
from sections.plan.runs import Run

_CANDIDATES = 120


@dataclass(frozen=True)
class PlacedJoint:
    """A joint of a kind at one station of one run. end : the number of the end it stands at, where it stands at one."""

    kind: JointKind
    run: int
    station: int
    end: int | None = None

    def joint(self, rooms: list[RoomFor]) -> Joint:
        """Return the joint that goes there: the one for its end, or the first of its kind that had room, per run."""
        number = self.end if self.end is not None else rooms[self.run].rank[self.station]
        return self.kind.choices[number]


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


# The order in which kinds take their places, and where along its share of a run one of many is first looked for; tried
# in turn until nothing is missing.
_ORDERS: tuple[tuple[Strung, ...], ...] = (
    ("ends", "runs", "pitch"),
    ("ends", "pitch", "runs"),
    ("pitch", "ends", "runs"),
    ("runs", "pitch", "ends"),
)
# Of the most that two at the ends could be apart, so much is well apart (common practice, no source).
_WELL_APART = 0.7
_SHARES = (0.5, 0.4, 0.6, 0.3, 0.7, 0.2, 0.8)


def place_joints(
    runs: list[Run], rooms: dict[str, list[np.ndarray]], kinds: tuple[JointKind, ...], pitch: float
) -> tuple[list[PlacedJoint], list[Shortage]]:
    """Return the joints of one pair of sections, and what found no room.

    runs : longest first. rooms : by kind wanted, per run, (stations, 2) places with room, NaN where none. kinds : what
    goes on. pitch : mm, the most between neighbours of a kind that goes all along. On a short seam another order, those
    off the middle of their shares, or one of them a run less, may place what the first try cannot: of what leaves least
    out, that whose joints reach all of the line they can is taken, of those that with the two at the ends well apart,
    and of those the first.
    """
    kinds = tuple(kind for kind in kinds if kind.name in rooms)
    wide = {k.name: _WELL_APART * _widest(rooms[k.name], k.half_length) for k in kinds if k.strung == "ends"}
    reach = {
        kind.name: max(pitch, _furthest_off(runs, [places[~np.isnan(places[:, 0])] for places in rooms[kind.name]]))
        for kind in kinds
        if kind.strung == "pitch"
    }
    best: tuple[tuple[int, float, float], tuple[list[PlacedJoint], list[Shortage]]] | None = None
    for less, share, order in product((0, 1), _SHARES, _ORDERS):
        made = _Placing(runs, rooms, kinds, pitch, share, less, _Taken()).in_order(order)
        at = {kind.name: _places_of(kind, made[0], rooms[kind.name]) for kind in kinds}
        off = sum(max(_furthest_off(runs, [at[name]]) - far, 0.0) for name, far in reach.items())
        rank = len(made[1]), off, -sum(min(_apart(at[name]), far) for name, far in wide.items())
        if best is None or rank < best[0]:
            best = rank, made
        if rank == (0, 0.0, -sum(wide.values())):
            break
    return best[1]


def _places_of(kind: JointKind, placed: list[PlacedJoint], rooms: list[np.ndarray]) -> np.ndarray:
    """Return where the joints of one kind are, (n, 2) mm. rooms : of that kind, per run."""
    return np.array([rooms[one.run][one.station] for one in placed if one.kind == kind]).reshape(-1, 2)


def _furthest_off(runs: list[Run], placed: list[np.ndarray]) -> float:
    """Return how far, mm, the place on the joint line is from the nearest of places, each (n, 2) mm, that is furthest
    from any; 0 without places."""
    places, line = np.vstack([np.empty((0, 2)), *placed]), np.vstack([np.empty((0, 2)), *(run.points for run in runs)])
    return float(cKDTree(places).query(line)[0].max()) if len(places) and len(line) else 0.0


def _widest(rooms: list[np.ndarray], half: float) -> float:
    """Return how far apart, mm, two could be if nothing else took their places; 0 where there is no room."""
    ends = _far_apart(rooms, [~np.isnan(places[:, 0]) for places in rooms], 2 * half)
    return 0.0 if ends is None else float(np.linalg.norm(np.subtract(*(rooms[run][at] for run, at in ends))))


def _apart(at: np.ndarray) -> float:
    """Return how far apart two places of (n, 2) are, mm; 0 without two."""
    return float(np.linalg.norm(at[1] - at[0])) if len(at) == 2 else 0.0


@dataclass(frozen=True)
class _Placing:
    """One try. share : where in its share of a run one that goes all along is looked for, 0 to 1. less : so many fewer
    of them on a run than its length asks for, one at least."""

    runs: list[Run]
    rooms: dict[str, list[np.ndarray]]
    kinds: tuple[JointKind, ...]
    pitch: float
    share: float
    less: int
    taken: _Taken

    def in_order(self, order: tuple[Strung, ...]) -> tuple[list[PlacedJoint], list[Shortage]]:
        """Return what was placed, kind by kind, and what found no room."""
        string = {"ends": self._at_ends, "runs": self._amid_runs, "pitch": self._all_along}
        made = {kind.name: string[strung](kind) for strung in order for kind in self.kinds if kind.strung == strung}
        short = [Shortage(k.name, _why(self.rooms[k.name], k.words)) for k in self.kinds if not made[k.name]]
        return [one for kind in self.kinds for one in made[kind.name]], short

    def _free(self, kind: JointKind, run: int) -> np.ndarray:
        return self.taken.free(self.rooms[kind.name][run], kind.half_length)

    def _take(self, kind: JointKind, run: int, station: int) -> None:
        self.taken.take(self.rooms[kind.name][run][station], kind.half_length)

    def _at_ends(self, kind: JointKind) -> list[PlacedJoint]:
        """Return the first choice and the last, as far apart as there is room, or nothing."""
        free = [self._free(kind, run) for run in range(len(self.runs))]
        ends = _far_apart(self.rooms[kind.name], free, 2 * kind.half_length)
        if ends is None:
            return []
        placed = []
        for end, (run, station) in zip((0, len(kind.choices) - 1), ends, strict=True):
            self._take(kind, run, station)
            placed.append(PlacedJoint(kind, run, station, end))
        return placed

    def _amid_runs(self, kind: JointKind) -> list[PlacedJoint]:
        """Return one a run, as near its middle as there is room."""
        placed = []
        for index, run in enumerate(self.runs):
            station = _nearest(run, self._free(kind, index), run.length / 2)
            if station is not None:
                self._take(kind, index, station)
                placed.append(PlacedJoint(kind, index, station))
        return placed

    def _all_along(self, kind: JointKind) -> list[PlacedJoint]:
        """Return joints along every run, each in its own equal share no longer than the pitch, moved to room."""
        return [
            PlacedJoint(kind, index, station) for index in range(len(self.runs)) for station in self._on(kind, index)
        ]

    def _on(self, kind: JointKind, index: int) -> list[int]:
        run = self.runs[index]
        count = max(int(np.ceil(run.length / self.pitch)) - self.less, 1)
        chosen: list[int] = []
        for target in (np.arange(count) + self.share) * run.length / count:
            station = _nearest(run, self._free(kind, index), target)
            if station is not None and abs(run.arc[station] - target) < max(self.pitch / 2, run.length / 2):
                self._take(kind, index, station)
                chosen.append(station)
        return self._without_spare(kind, index, chosen + self._fill_gaps(kind, index, chosen))

    def _fill_gaps(self, kind: JointKind, index: int, chosen: list[int]) -> list[int]:
        """Return more stations, taken in the middle of gaps wider than the pitch while there is room in them."""
        run = self.runs[index]
        added: list[int] = []
        while True:
            arcs = np.sort(run.arc[chosen + added])
            gaps = np.diff(arcs)
            wide = [i for i in np.argsort(-gaps) if gaps[i] > self.pitch]
            for i in wide:
                inside = (run.arc > arcs[i]) & (run.arc < arcs[i + 1])
                station = _nearest(run, self._free(kind, index) & inside, (arcs[i] + arcs[i + 1]) / 2)
                if station is not None:
                    self._take(kind, index, station)
                    added.append(station)
                    break
            else:
                return added

    def _without_spare(self, kind: JointKind, index: int, chosen: list[int]) -> list[int]:
        """Return the stations without those whose neighbours on the run are within a pitch of one another anyway."""
        run, places = self.runs[index], self.rooms[kind.name][index]
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
