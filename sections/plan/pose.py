"""How a section lies on the bed: the poses tried, and the one taken.

Support counted by steep faces (45 deg) was four times what the layers say: short overhangs stand on the layer below.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from scipy.spatial import ConvexHull

from sections.numbers.box import Turns, tightened
from sections.numbers.frame import Frame, make_frame
from sections.numbers.mesh import MIRROR_Y, NO_GROWTH, Growth
from sections.plan.bed_cost import Judge, Standing
from sections.settings import Settings
from sections.settings.printer import PrinterTable
from sections.solids.box_turns import even_turns

_ANGLES = Turns(np.arange(0.0, 180.0, 3.0))
# mm; a pose this little too large by arithmetic alone still fits.
_ROUNDING = 1e-6
# What poses cost is held against one another to so much, mm2, so that noise decides nothing.
_COUNTED = 100.0
# So many of the poses that fit are judged, those that promise the most.
_JUDGED = 8


@dataclass(frozen=True)
class Bed:
    """Usable room of a printer: (3,) size less margins, mm, the margins kept in x and y, and the printer's name, ""
    where there is one only. growth : by what its files are larger than the parts; room and margins are the parts'."""

    room: tuple[float, float, float]
    margin: tuple[float, float]
    printer: str = ""
    growth: Growth = NO_GROWTH

    @property
    def free(self) -> np.ndarray:
        """The usable x and y, (2, 2) mm, low and high corner."""
        return np.array([self.margin, np.add(self.margin, self.room[:2])])


def beds_of(settings: Settings) -> tuple[Bed, ...]:
    """Return the usable room of every printer, in the order they are to be tried."""
    if not settings.printers:
        return (_bed(settings.printer, ""),)
    return tuple(_bed(printer, printer.id) for printer in settings.printers)


def _bed(printer: PrinterTable, name: str) -> Bed:
    """Return the usable room of a printer: less the margin at each side and at the top."""
    margin, growth = printer.margin, printer.growth
    x, y, z = printer.bed
    room = np.array([x - 2 * margin, y - 2 * margin, z - margin]) / growth
    return Bed(tuple(room.tolist()), (margin / growth[0], margin / growth[1]), name, growth)


@dataclass(frozen=True)
class Down:
    """A face that may lie on the bed: its name, outward normal (3,), and area, mm2."""

    name: str
    normal: np.ndarray
    area_mm2: float


@dataclass(frozen=True)
class Pose:
    """The bed's frame in the vehicle frame, the size in it, what lies down, the excess over the bed, mm, the printer,
    by what its files are larger than the part, and how the part stands in it, where that was looked at."""

    frame: Frame
    size: tuple[float, float, float]
    down: str
    excess: float
    printer: str
    growth: Growth = NO_GROWTH
    standing: Standing | None = None


def choose_pose(points: np.ndarray, downs: list[Down], beds: tuple[Bed, ...], judge: Judge | None = None) -> Pose:
    """Return the pose for a section, on the first printer that it fits.

    points : (n, 3) vehicle frame, mm; all corners of the section, tongues included. downs : flat faces without
    anything that stands out of them. judge : of poses; without one, those on a flat face come first, then the lowest,
    then the one with the least footprint. When nothing fits the pose with the least excess is returned.
    """
    hull = points[ConvexHull(points).vertices]
    largest_first = sorted(downs, key=lambda down: (-round(down.area_mm2, 3), down.name))
    flat = [(down.name, _turn_down(down.normal)) for down in largest_first]
    nearest: Pose | None = None
    for bed in beds:
        best: Pose | None = None
        for ways in (flat, _free_rotations(hull, points)):
            poses = [_on_bed(hull, name, rotation, bed) for name, rotation in ways]
            found = _best([pose for pose in poses if pose.excess <= 0], judge)
            if found is not None and (best is None or _rank(found) < _rank(best)):
                best = found
            if best is not None and _is_good(best, judge):
                return best
            nearest = min([*poses, *([nearest] if nearest else [])], key=lambda pose: pose.excess, default=None)
        if best is not None:
            return best
    return _judged(nearest, judge)


def choose_mirrored_pose(points: np.ndarray, downs: list[Down], beds: tuple[Bed, ...], judge: Judge) -> Pose:
    """Return the pose for the mirror image in y = 0 of a section, as `choose_pose` does: the mirror image of the pose
    its original has, with x on the bed turned round, unless what stands out of the two differs. What a search for poses
    finds for the one it need not find for the other. points : (n, 3) mm, of the original. judge : of the image."""
    flipped = [replace(down, normal=down.normal * MIRROR_Y) for down in downs]
    pose = choose_pose(points * MIRROR_Y, flipped, beds, judge.mirrored())
    rotation = pose.frame.rotation.T * MIRROR_Y * [[-1.0], [1.0], [1.0]]
    bed = next(bed for bed in beds if bed.printer == pose.printer)
    return _judged(_placed(points, pose.down, rotation, bed), judge)


def _best(poses: list[Pose], judge: Judge | None) -> Pose | None:
    """Return the best of poses that fit, None of none. Judged are those that promise the most, in that order; of equal
    ones the first is taken."""
    if judge is None:
        return min(poses, key=_rank, default=None)
    guessed = np.array([judge.guess(np.asarray(pose.frame.z), pose.size[2]) for pose in poses])
    best: Pose | None = None
    for number in np.argsort(guessed, kind="stable")[:_JUDGED].tolist():
        pose = poses[number]
        # What is sure to count as more than the best so far is not counted to its end.
        most = np.inf if best is None else best.standing.cost + 2 * _COUNTED
        standing = judge.standing_below(pose.frame, pose.size[2], most)
        if standing is not None:
            best = min(filter(None, (best, replace(pose, standing=standing))), key=_rank)
    return best


def _judged(pose: Pose, judge: Judge | None) -> Pose:
    return pose if judge is None else replace(pose, standing=judge.standing(pose.frame, pose.size[2]))


def _is_good(pose: Pose, judge: Judge | None) -> bool:
    """Return whether a pose needs no other to be looked for: one on an edge would count as more."""
    return judge is None or pose.standing.cost <= judge.weights.edge


def _rank(pose: Pose) -> tuple[float, ...]:
    """Return what poses that fit are sorted by."""
    x, y, z = pose.size
    cost = 0 if pose.standing is None else round(pose.standing.cost / _COUNTED)
    return cost, round(z, 1), round(x * y, 0)


def _on_bed(hull: np.ndarray, name: str, rotation: np.ndarray, bed: Bed) -> Pose:
    """Return the pose with the given rotation (rows are the bed's axes), turned about the vertical to fit best."""
    local = hull @ rotation.T
    extent = _ANGLES.extents(local[:, :2])
    over = (extent - np.array(bed.room[:2])).max(1)
    best = (
        int(np.argmin(np.round(over, 6)))
        if (over > 0).all()
        else int(np.argmin(np.where(over > 0, np.inf, _spread(extent))))
    )
    cosine, sine = np.cos(_ANGLES.angles[best]), np.sin(_ANGLES.angles[best])
    return _placed(hull, name, np.array([[cosine, sine, 0.0], [-sine, cosine, 0.0], [0.0, 0.0, 1.0]]) @ rotation, bed)


def _placed(hull: np.ndarray, name: str, rotation: np.ndarray, bed: Bed) -> Pose:
    """Return the pose with the given rotation, rows the bed's axes, amid the bed."""
    local = hull @ rotation.T
    low, high = local.min(0), local.max(0)
    size = high - low
    corner = low - [*(np.array(bed.margin) + (np.array(bed.room[:2]) - size[:2]) / 2), 0.0]
    excess = float((size - bed.room).max())
    frame = make_frame(rotation.T @ corner, rotation.T)
    over = 0.0 if excess < _ROUNDING else excess
    return Pose(frame, tuple(float(s) for s in size), name, over, bed.printer, bed.growth)


def _spread(extent: np.ndarray) -> np.ndarray:
    """Return the footprint, mm2, rounded so that equal ones tie to the first angle."""
    return np.round(extent[:, 0] * extent[:, 1], 3)


def _turn_down(normal: np.ndarray) -> np.ndarray:
    """Return a rotation, rows the bed's axes, that brings an outward normal to point down."""
    z = -np.asarray(normal, float) / np.linalg.norm(normal)
    x = np.cross([0.0, 1.0, 0.0] if abs(z[1]) < 0.9 else [1.0, 0.0, 0.0], z)
    x /= np.linalg.norm(x)
    return np.array([x, np.cross(z, x), z])


def _free_rotations(hull: np.ndarray, points: np.ndarray):
    """Yield named rotations to try when no flat face will do: tight boxes each way up, as it stands, then all round.
    points : of which the hull is; what fits by a box begun from either is found."""
    for base in (*tightened(hull), *tightened(hull, points), np.eye(3)):
        right = base if np.linalg.det(base) > 0 else base * [[1.0], [1.0], [-1.0]]
        for axis in range(3):
            yield "edge", np.roll(right, axis, axis=0)
    for x, y, z, w in even_turns(300):
        yield "edge", _rotation(x, y, z, w)


def _rotation(x: float, y: float, z: float, w: float) -> np.ndarray:
    return np.array(
        [
            [1 - 2 * (y * y + z * z), 2 * (x * y - z * w), 2 * (x * z + y * w)],
            [2 * (x * y + z * w), 1 - 2 * (x * x + z * z), 2 * (y * z - x * w)],
            [2 * (x * z - y * w), 2 * (y * z + x * w), 1 - 2 * (x * x + y * y)],
        ]
    )
