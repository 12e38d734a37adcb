"""Parts of a jig that are printed: parted for the bed by straight cuts, joined by the sections' own dowels and keys."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
import shapely
from shapely import LineString, Polygon, box

from sections.errors import PARAMETERS, BadInput, Problem
from sections.features.dowel import Dowel
from sections.features.key import Key
from sections.jig.sheet_part import SheetPart
from sections.numbers.frame import Frame, Plane, make_frame
from sections.plan.model import PlannedJoint
from sections.plan.pose import Bed
from sections.solids.planar import as_multipolygon

# mm; between places tried for a cut; kept off slots; mm2, less of a part is a fragment; between joints of one cut.
_TRY, _OFF_SLOT, _FRAGMENT, _APART = 2.0, 15.0, 1.0, 2.0
# How far from even a row of pieces may be; what a mm off even counts beside a mm of cut; mm, narrower is a sliver, and
# mm2 of it that a cut may leave.
_UNEVEN, _EVEN, _NARROW, _SLIVER = 0.4, 0.2, 14.0, 60.0
# Cuts tried for one part, at most.
_TRIES = 2000
# mm; far beyond any part; pieces whose bounds are this near a cut lie on it.
_FAR, _TOUCH = 1e5, 1e-3
# mm; corners are distinguished to this much where outlines are clipped.
_GRID = 1e-6


@dataclass(frozen=True)
class JigPiece:
    """One piece to print. part : what it is a piece of. outline : in that part's x, y, mm."""

    id: str
    part: SheetPart
    outline: Polygon


@dataclass(frozen=True)
class Butt:
    """Where two pieces of a part meet: on a plane, minus on its minus side, with the joints across it."""

    id: str
    minus: str
    plus: str
    plane: Plane
    joints: tuple[PlannedJoint, ...]


@dataclass(frozen=True)
class Joints:
    """The joints of a cut: a dowel in a round hole, a key, a dowel in a slot."""

    round: Dowel
    key: Key
    slot: Dowel

    @property
    def length(self) -> float:
        """What the three take up along a cut, mm."""
        return 2 * (self.edge + self.slot.half_length + self.key.half_length) + 2 * _APART

    @property
    def edge(self) -> float:
        """How far a dowel sits from the end of a cut, mm: the end may be another cut, and dowels stand in from that."""
        return self.slot.half_length + self.reach

    @property
    def reach(self) -> float:
        """How far the joints stand into a piece, mm."""
        return max(self.round.reach, self.key.reach)

    @property
    def deep(self) -> float:
        """How far off the cut there must be material, mm."""
        return self.reach + self.key.web


def pieces_of(part: SheetPart, beds: tuple[Bed, ...], joints: Joints) -> tuple[tuple[JigPiece, ...], tuple[Butt, ...]]:
    """Return a part in pieces that lie flat on a bed, and where they meet. Raises BadInput where it cannot be parted so
    that its pieces can be joined."""
    parted = _parted(part, part.outline, beds, joints, [_TRIES])
    if parted is None:
        raise _unjoined(part, joints)
    outlines, cuts = parted
    ids = [part.id] if len(outlines) == 1 else [f"{part.id}-{n}" for n in range(1, len(outlines) + 1)]
    pieces = tuple(JigPiece(name, part, outline) for name, outline in zip(ids, outlines, strict=True))
    # Pieces are cut again after they were parted from others: what each has in common with which is looked at last.
    butts = tuple(butt for cut in sorted(set(cuts)) for butt in _butts(part, pieces, cut, joints))
    if not _hold_together(pieces, butts):
        raise _unjoined(part, joints)
    return pieces, butts


def _unjoined(part: SheetPart, joints: Joints) -> BadInput:
    low_x, low_y, high_x, high_y = part.outline.bounds
    sizes = f"{high_x - low_x:.0f} x {high_y - low_y:.0f} mm"
    limit = f"a place to part {part.id} ({sizes}), its pieces {joints.length:.0f} mm or more in common"
    remedy = "a larger bed, a lower jig.reach, more jig.height, or sheet instead"
    return BadInput([Problem(PARAMETERS, "jig.make", "printed", limit, remedy)])


def _butts(part: SheetPart, pieces: tuple[JigPiece, ...], cut: Cut, joints: Joints) -> Iterator[Butt]:
    """Yield every two pieces that lie against one another in a cut, on as much as joints need."""
    axis, at = cut
    for minus in pieces:
        if abs(minus.outline.bounds[2 + axis] - at) > _TOUCH:
            continue
        for plus in pieces:
            if plus is minus or abs(plus.outline.bounds[axis] - at) > _TOUCH:
                continue
            behind = _spans(minus.outline, axis, (at - joints.deep, at - _TOUCH))
            before = _spans(plus.outline, axis, (at + _TOUCH, at + joints.deep))
            for low, high in _stretches(behind & before):
                if high - low >= joints.length:
                    yield _butt(part, minus, plus, (axis, at, low, high), joints)


def _hold_together(pieces: tuple[JigPiece, ...], butts: tuple[Butt, ...]) -> bool:
    known = {pieces[0].id}
    for _ in pieces:
        for butt in butts:
            if butt.minus in known or butt.plus in known:
                known |= {butt.minus, butt.plus}
    return len(known) == len(pieces)


# A cut: the axis it is square to (0 or 1), and where.
Cut = tuple[int, float]


def _parted(
    part: SheetPart, outline: Polygon, beds: tuple[Bed, ...], joints: Joints, left: list[int]
) -> tuple[list[Polygon], list[Cut]] | None:
    """Return (pieces that fit, cuts between them), or None: cut in turn square to the longer extent, where the cut is
    short and the pieces come out even. left : how many cuts may still be tried."""
    if _fits(outline, part.thickness, beds):
        return [outline], []
    low, high = np.array(outline.bounds).reshape(2, 2)
    longest = max(max(bed.room[:2]) for bed in beds)
    for axis in np.argsort(low - high, kind="stable").tolist():
        for at in _places(outline, axis, low[axis], high[axis], longest):
            left[0] -= 1
            if left[0] < 0:
                return None
            found = _cut(part, outline, axis, at, joints)
            if found is None:
                continue
            made = []
            for one in (*found[0], *found[1]):
                made.append(_parted(part, one, beds, joints, left))
                if made[-1] is None:
                    break
            else:
                return [one for outlines, _ in made for one in outlines], found[2] + [c for _, cs in made for c in cs]
    return None


def _places(outline: Polygon, axis: int, low: float, high: float, longest: float) -> list[float]:
    """Return where the first piece of an even row may end, the shortest and evenest cut first."""
    even = (high - low) / np.ceil((high - low) / longest)
    if even >= high - low:
        even = (high - low) / 2
    tried = np.arange(low + (1 - _UNEVEN) * even, min(low + (1 + _UNEVEN) * even, low + longest), _TRY)
    lines = [LineString([_place(axis, at, -_FAR), _place(axis, at, _FAR)]) for at in tried]
    cost = [(line & outline).length + _EVEN * abs(at - low - even) for line, at in zip(lines, tried, strict=True)]
    return [float(at) for at in tried[np.argsort(cost, kind="stable")]]


def _fits(outline: Polygon, thickness: float, beds: tuple[Bed, ...]) -> bool:
    low, high = np.array(outline.bounds).reshape(2, 2)
    size = np.sort(high - low)
    return any((size <= np.sort(bed.room[:2])).all() and thickness <= bed.room[2] for bed in beds)


def _cut(part: SheetPart, outline: Polygon, axis: int, at: float, joints: Joints):
    """Return (pieces on the near side, pieces beyond, [cut]), or None where a piece could not be joined to another."""
    if axis == 0 and any(abs(slot.middle - at) < slot.width / 2 + _OFF_SLOT for slot in part.slots):
        return None
    halves = [_half(outline, axis, at, side) for side in (-1, 1)]
    if not all(halves):
        return None
    if sum(map(_thin, (*halves[0], *halves[1]))) > _thin(outline) + _SLIVER:
        return None
    depths = (at - joints.deep, at, at + joints.deep)
    joined: list[set[int]] = [set(), set()]
    for low, high in _stretches(_spans(outline, axis, depths)):
        if high - low >= joints.length:
            middle = _place(axis, at, (low + high) / 2)
            for known, pieces in zip(joined, halves, strict=True):
                known.add(_owner(pieces, middle))
    if any(len(known) < len(pieces) for known, pieces in zip(joined, halves, strict=True)):
        return None
    return halves[0], halves[1], [(axis, at)]


def _thin(outline: Polygon) -> float:
    """Return how much of an outline, mm2, is narrower than a joint is wide."""
    wide = outline.buffer(-_NARROW / 2, join_style="mitre").buffer(_NARROW / 2, join_style="mitre")
    kept = as_multipolygon(shapely.make_valid(wide))
    return outline.area - shapely.intersection(kept, shapely.make_valid(outline), grid_size=_GRID).area


def _half(outline: Polygon, axis: int, at: float, side: int) -> list[Polygon]:
    span = (-_FAR, at) if side < 0 else (at, _FAR)
    window = box(span[0], -_FAR, span[1], _FAR) if axis == 0 else box(-_FAR, span[0], _FAR, span[1])
    return [piece for piece in as_multipolygon(outline & window).geoms if piece.area > _FRAGMENT]


def _spans(outline: Polygon, axis: int, places: tuple[float, ...]) -> shapely.Geometry:
    """Return where along a cut there is material at all of some places across it, as strips one high."""
    shared = None
    for where in places:
        line = LineString([_place(axis, where, -_FAR), _place(axis, where, _FAR)]) & outline
        coords = [shapely.get_coordinates(one)[:, 1 - axis] for one in getattr(line, "geoms", [line])]
        spans = shapely.union_all([box(c.min(), 0, c.max(), 1) for c in coords if len(c) > 1])
        shared = spans if shared is None else shared & spans
    return shared


def _stretches(strips: shapely.Geometry) -> list[tuple[float, float]]:
    return [(one.bounds[0], one.bounds[2]) for one in as_multipolygon(strips).geoms]


def _place(axis: int, at: float, along: float) -> tuple[float, float]:
    return (at, along) if axis == 0 else (along, at)


def _owner(pieces: list[Polygon], place: tuple[float, float]) -> int:
    return int(np.argmin([piece.distance(shapely.Point(place)) for piece in pieces]))


def _butt(
    part: SheetPart, minus: JigPiece, plus: JigPiece, cut: tuple[int, float, float, float], joints: Joints
) -> Butt:
    axis, at, low, high = cut
    rotation = part.frame.rotation
    way = np.array([1.0, 0, 0]) if axis == 0 else np.array([0, 1.0, 0])
    along = np.array([0, 1.0, 0]) if axis == 0 else np.array([-1.0, 0, 0])
    normal = rotation @ way
    axes = np.column_stack([rotation @ along, rotation @ np.array([0, 0, 1.0]), normal])
    edge = joints.edge
    name = f"{minus.id}+{plus.id}"
    placed = []
    for number, (joint, where) in enumerate(
        ((joints.round, low + edge), (joints.key, (low + high) / 2), (joints.slot, high - edge)), 1
    ):
        origin = part.frame.to_world(np.array([[*_place(axis, at, where), 0.0]]))[0]
        frame: Frame = make_frame(origin, axes)
        placed.append(PlannedJoint(f"{name}:{joint.kind}{number}", name, minus.id, plus.id, frame, joint))
    plane = Plane(tuple(float(c) for c in normal), float(normal @ np.array(placed[0].frame.origin)))
    return Butt(name, minus.id, plus.id, plane, tuple(placed))
