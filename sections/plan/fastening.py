"""Which bolt a place on a seam takes: by the plastic there, and by what hands and tools get to."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from sections.features.bolt import Bolt, ClearWay
from sections.features.feature import OVERSHOOT, Side
from sections.numbers.frame import Plane
from sections.plan.hands import Hands
from sections.plan.room import NONE, Judged, RoomFor, Surroundings, has_plastic, stations_in_world
from sections.plan.runs import Run, part_of
from sections.settings.joint_line import SEAT_CLEAR_OF_WALL

# mm; spacing of the places looked at along a bolt's way.
_ALONG = 2.5
# What is left where no bolt goes.
_BONDED = '; or bolted = "room" has it bonded where no bolt goes'


@dataclass(frozen=True)
class Fastening:
    """What bolts are chosen by. choices : what one may be, the one asked for first. hands : what gets there; None
    where all is in reach."""

    choices: tuple[Bolt, ...]
    around: Surroundings
    hands: Hands | None

    def judge(self, run: Run) -> Judged:
        """Return for every station the number of the first choice that goes there, NONE without, and how far the best
        of them got: 0 no plastic, 1 no way for screw or nut, 2 no hand, 3 it goes."""
        rank, got = np.full(len(run.points), NONE), np.zeros(len(run.points), int)
        plain = {bolt.held: has_plastic(bolt.probes()[0], run, self.around) for bolt in self.choices}
        reached: dict[tuple[Side, ClearWay], np.ndarray] = {}
        for number, bolt in enumerate(self.choices):
            rows = np.flatnonzero((rank == NONE) & plain[bolt.held])
            for probe in bolt.probes()[1:]:
                rows = rows[has_plastic(probe, part_of(run, rows), self.around)]
            least = np.full(len(rows), 3)
            for side in ("minus", "plus"):
                way = bolt.way(side)
                if way is None:
                    continue
                if (side, way) not in reached:
                    reached[side, way] = self._reached(side, way, bolt, run, plain[bolt.held])
                np.minimum(least, reached[side, way][rows], out=least)
            got[rows] = np.maximum(got[rows], least)
            rank[rows[least == 3]] = number
        return Judged(rank, got)

    def why_so(self, bolt: Bolt, place: np.ndarray, along: np.ndarray, sides: dict[Side, str]) -> str:
        """Return why a bolt is held as it is, in words. place, along : as of `why_no_nut`. sides : section by side."""
        if bolt.held == "nut":
            return "both sides can be reached"
        side: Side = "plus" if bolt.screw == "minus" else "minus"
        return f"insert in {sides[side]}: {self.why_no_nut(side, place, along)}"

    def why_none(self, rooms: list[RoomFor], *, bonded: bool) -> str:
        """Return why a pair has no bolt, and what would help, by how far each place along its runs got. bonded :
        whether it is bonded for want of room, as asked."""
        left = "" if bonded else _BONDED
        got = np.concatenate([room.got for room in rooms])
        plastic, way, hand = (int((got == far).sum()) for far in range(3))
        long = min(bolt.head.length for bolt in self.choices)
        text = (
            f"of {len(got)} places {plastic} lack plastic around hole or insert, {way} a straight way of {long:.0f} mm"
        )
        text += f" to the screw, {hand} a hand to turn it"
        if hand >= max(plastic, way):
            return f"{text}: nobody gets in once this seam is joined; leave an opening, or a larger one{left}"
        if way >= plastic:
            return f"{text}: raise or lower the flange, or turn the seam{left}"
        return f"{text}: raise the flange, or take a smaller bolt{left}"

    def why_no_nut(self, side: Side, place: np.ndarray, along: np.ndarray) -> str:
        """Return why no nut can be had on a side of the seam, at a place (2,) in its frame, the joint along (2,)."""
        nuts = [bolt for bolt in self.choices if bolt.held == "nut" and bolt.screw != side]
        if not nuts:
            return "no standard screw is long enough for a nut"
        run = Run(place[None], along[None], np.zeros(1), False)
        reached = self._reached(side, nuts[0].nut, nuts[0], run, np.ones(1, bool))[0]
        if reached == 1:
            return f"no straight way of {nuts[0].nut.length:.0f} mm to a nut there"
        if reached == 2:
            return "no hand turns a socket there"
        return "no way to a screw of a nut's length on the other side"

    def _reached(self, side: Side, way: ClearWay, bolt: Bolt, run: Run, plain: np.ndarray) -> np.ndarray:
        """Return for every station 1 where a way is not free, 2 where no hand turns a tool at its end, else 3."""
        rows = np.flatnonzero(plain)
        reached = np.ones(len(plain), int)
        sign = -1 if side == "minus" else 1
        planes = self.around.minus_planes if side == "minus" else self.around.plus_planes
        rows = rows[self._is_free(way, bolt, part_of(run, rows), sign, planes)]
        reached[rows] = 2
        if self.hands is None:
            reached[rows] = 3
            return reached
        turn = sign * (bolt.thickness + way.turn)
        local = np.array([[0.0, 0.0, turn], [1.0, 0.0, turn], [0.0, 1.0, turn]])
        world = stations_in_world(part_of(run, rows), self.around.frame, local)
        turned = self.hands.can_turn(world[:, 0], world[:, 1:] - world[:, :1], way.arm, way.thick)
        reached[rows[turned]] = 3
        return reached

    def _is_free(self, way: ClearWay, bolt: Bolt, run: Run, sign: int, planes: tuple[Plane, ...]) -> np.ndarray:
        """Return where a round bar behind one flange stays clear of wall, other seams' flanges, bosses, and whatever
        else there is beyond the flange's own back."""
        around, count = self.around, len(run.points)
        if not count:
            return np.empty(0, bool)
        # The seat's way is cut through all of the flange's back, longer than it need be for a short screw.
        (seat, length), tool = way.bars
        bars = (seat, max(length, bolt.back + OVERSHOOT)), tool
        ends = [(radius, off) for radius, end in bars for off in np.linspace(0, end, int(np.ceil(end / _ALONG)) + 1)]
        radius, off = np.array(ends).T
        z = sign * (bolt.thickness + off)
        points = stations_in_world(run, around.frame, np.column_stack([0 * z, 0 * z, z]))
        ok = np.ones(count, bool)

        def keep(distance: Callable[[np.ndarray], np.ndarray], asked: float, which: np.ndarray) -> None:
            """Take out the stations with a place, of `which` along the bar, nearer than asked and its radius."""
            rows = np.flatnonzero(ok)
            if len(rows) and which.any():
                off = distance(points[rows][:, which].reshape(-1, 3)).reshape(len(rows), -1)
                ok[rows] = (off >= asked + radius[which]).all(1)

        # What takes longest to ask last, of the places that are left.
        whole = np.ones(len(off), bool)
        for plane in planes:
            keep(lambda places, plane=plane: np.abs(plane.distance(places)), around.flange_reach, whole)
        for start, end, boss in around.bosses:
            keep(lambda places, start=start, end=end: _to_segment(places, start, end), boss, whole)
        keep(around.skin.depth, around.wall + SEAT_CLEAR_OF_WALL, whole)
        keep(around.material.unsigned, 0.0, off > bolt.back)
        return ok


def _to_segment(points: np.ndarray, start: np.ndarray, end: np.ndarray) -> np.ndarray:
    """Return the distance, (n,) mm, of (n, 3) points to a straight piece between two points."""
    along = end - start
    part = np.clip((points - start) @ along / (along @ along), 0.0, 1.0)
    return np.linalg.norm(points - start - part[:, None] * along, axis=1)
