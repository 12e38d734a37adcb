"""Where on a joint line there is room for a joint: plastic around it.

Pins of two seams that meet in a corner of a section went into one another while each pair was planned for itself, and
every check looked at one seam's face: 74 places on one body. Joints keep off where those of the next seam may be, and
`joint-web` measures the plastic around each all the way down.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import shapely

from sections.features.feature import Joint, Probe
from sections.numbers.frame import Frame, Plane
from sections.numbers.mesh import Mesh, join
from sections.plan.runs import Run, part_of
from sections.solids.distance import MeshDistance
from sections.solids.planar import on_plane


@dataclass(frozen=True)
class Surroundings:
    """What stands around one interface.

    frame : on the seam plane. outline : the face the two share, in the frame's x, y. material : distance to the
    surface of the two bare sections taken together, their common plane left out. skin : distance to the whole body's
    skin. wall : mm. minus_planes, plus_planes : the other seams that bound the section on either side. flange_reach :
    how far a flange and its back reach from its seam, mm. joint_reach : how far joints of other seams stand in from
    those, mm. bosses : (one end, other end, radius) of every boss on the two sections.
    """

    frame: Frame
    outline: shapely.Geometry
    material: MeshDistance
    skin: MeshDistance
    wall: float
    minus_planes: tuple[Plane, ...]
    plus_planes: tuple[Plane, ...]
    flange_reach: float
    joint_reach: float
    bosses: tuple[tuple[np.ndarray, np.ndarray, float], ...] = ()

    @cached_property
    def edge(self) -> shapely.Geometry:
        """Where the shared face ends, in the frame's x, y."""
        edge = self.outline.boundary
        shapely.prepare(edge)
        return edge


def surface_around(minus: Mesh, plus: Mesh, plane: Plane, reach: np.ndarray) -> Mesh:
    """Return the surfaces of two sections without their faces on a plane, within (2, 3) bounds, mm."""
    return join([_near(mesh, plane, reach) for mesh in (minus, plus)])


def _near(mesh: Mesh, plane: Plane, reach: np.ndarray) -> Mesh:
    corners = mesh.triangles
    inside = ((corners.min(1) <= reach[1]) & (corners.max(1) >= reach[0])).all(1)
    return Mesh(mesh.vertices, mesh.faces[inside & ~on_plane(mesh, plane)])


# mm; how far a joint may sit from the joint line within the seam, inward positive, tried in this order: on it; near
# it; and, where the skin leans so far that a flange is wide, well inward of it.
_OFFSETS = (
    np.array([0.0]),
    np.array(sorted(np.arange(-6.0, 6.5, 1.5), key=abs)[1:]),
    np.arange(8.0, 61.0, 2.5),
)


# mm; how far off the seam plane, or inexact, counts as nothing.
_LEVEL = 0.02


# The rank of a place without room.
NONE = 99


@dataclass(frozen=True)
class Judged:
    """What a joint finds along a run. rank : (n,) 0 where it has the room asked for, more where it makes do with less,
    NONE without. got : (n,) how far it got, more is further; None where nothing is reported of that."""

    rank: np.ndarray
    got: np.ndarray | None = None


@dataclass(frozen=True)
class RoomFor:
    """Where along a run one kind of joint has room.

    places : (n, 2) in the seam plane's frame, mm, one at each station; NaN where there is no room. rank, got : of each
    place, as it was judged.
    """

    places: np.ndarray
    rank: np.ndarray
    got: np.ndarray


def find_room(judge: Callable[[Run], Judged], run: Run, around: Surroundings, content: int = 0) -> RoomFor:
    """Return where along a run a joint has room, moved off the joint line where it finds none, or less, on it.

    judge : what it finds at each station of a run. content : the rank that is as good as any less.
    """
    count = len(run.points)
    places, rank, got = np.full(run.points.shape, np.nan), np.full(count, NONE), np.zeros(count, int)
    direction = away_from_skin(run, around)
    for number, shifts in enumerate(_OFFSETS):
        open_ = np.flatnonzero(rank > content if number < len(_OFFSETS) - 1 else rank == NONE)
        if not len(open_):
            break
        station, shift = np.repeat(open_, len(shifts)), np.tile(shifts, len(open_))
        moved = run.points[station] + shift[:, None] * direction[station]
        judged = judge(Run(moved, run.tangents[station], run.arc[station], False))
        found = judged.rank.reshape(len(open_), -1)
        best = found.argmin(1)
        least = found[np.arange(len(open_)), best]
        better = np.flatnonzero(least < rank[open_])
        places[open_[better]] = moved[better * len(shifts) + best[better]]
        rank[open_[better]] = least[better]
        if judged.got is not None:
            got[open_] = np.maximum(got[open_], judged.got.reshape(len(open_), -1).max(1))
    return RoomFor(places, rank, got)


def in_plastic(joint: Joint, around: Surroundings) -> Callable[[Run], Judged]:
    """Return what judges where along a run a joint has the plastic it needs."""

    def judge(run: Run) -> Judged:
        ok = np.all([has_plastic(probe, run, around) for probe in joint.probes()], axis=0)
        return Judged(np.where(ok, 0, NONE))

    return judge


def has_room(joint: Joint, places: np.ndarray, along: np.ndarray, around: Surroundings) -> np.ndarray:
    """Return at which of (n, 2) places in the seam plane's frame, mm, a joint laid along (2,) has the plastic it
    needs."""
    run = Run(places, np.tile(along, (len(places), 1)), np.zeros(len(places)), False)
    return in_plastic(joint, around)(run).rank == 0


def away_from_skin(run: Run, around: Surroundings) -> np.ndarray:
    """Return the in-plane unit directions, (n, 2), square to the run and away from the skin."""
    across = np.column_stack([-run.tangents[:, 1], run.tangents[:, 0]])
    zeros = np.zeros((len(across), 1))
    ahead = around.skin.depth(around.frame.to_world(np.hstack([run.points + across, zeros])))
    behind = around.skin.depth(around.frame.to_world(np.hstack([run.points - across, zeros])))
    return across * np.where(ahead >= behind, 1.0, -1.0)[:, None]


def lean(run: Run, around: Surroundings) -> float:
    """Return the median angle, deg, by which the skin along a run leans from square to the seam."""
    points = around.frame.to_world(np.hstack([run.points, np.zeros((len(run.points), 1))]))
    normal = around.skin.nearest_and_depth(points)[2]
    return float(np.degrees(np.arcsin(np.clip(np.median(np.abs(normal @ np.asarray(around.frame.z))), 0, 1))))


def has_plastic(probe: Probe, run: Run, around: Surroundings) -> np.ndarray:
    """Return where along a run there is the plastic a probe asks for, (n,) bool."""
    # Around it, and not the same distance out in the air or in the section next door.
    ok = shapely.contains_xy(around.outline, run.points[:, 0], run.points[:, 1])
    _keep_over_face(ok, run, around, probe)
    for points in _nearest_first(probe.points):
        _keep_plastic(ok, run, around, points, probe)
    return ok


def _nearest_first(points: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Return a probe's points in two lots: the one nearest to the joint's middle, which rules most places out."""
    order = np.argsort(np.linalg.norm(points, axis=1), kind="stable")
    return points[order[:1]], points[order[1:]]


def _keep_plastic(ok: np.ndarray, run: Run, around: Surroundings, local: np.ndarray, probe: Probe) -> None:
    """Strike from `ok`, (n,) bool, the stations where some point of a probe lacks the plastic it needs."""
    rows = np.flatnonzero(ok)
    points = stations_in_world(part_of(run, rows), around.frame, local)
    ok[rows] = _off_other_joints(points, local, around) >= probe.clearance
    rows, points = rows[ok[rows]], points[ok[rows]]
    distance = around.material.unsigned(points.reshape(-1, 3)).reshape(len(rows), len(local))
    ok[rows] = distance.min(1, initial=np.inf) >= probe.clearance
    rows, points = rows[ok[rows]], points[ok[rows]]
    below = around.skin.depth(points.reshape(-1, 3)).reshape(len(rows), len(local))
    ok[rows] = below.min(1, initial=np.inf) >= around.wall + probe.hole


def _off_other_joints(points: np.ndarray, local: np.ndarray, around: Surroundings) -> np.ndarray:
    """Return how far, (n,) mm, points (n, k, 3) keep off where joints across the other seams of the section they are in
    may be. local : (k, 3), the same in the joint's frame, which tells the section."""
    gap = np.full(len(points), np.inf)
    for planes, inside in ((around.minus_planes, local[:, 2] <= 0), (around.plus_planes, local[:, 2] >= 0)):
        for plane in planes if inside.any() else ():
            off = np.abs(plane.distance(points[:, inside])).min(1)
            np.minimum(gap, off - around.joint_reach, out=gap)
    return gap


def _keep_over_face(ok: np.ndarray, run: Run, around: Surroundings, probe: Probe) -> None:
    """Strike from `ok`, (n,) bool, the stations where a point of a probe on the seam lies beyond the face, or too near
    to the face's edge.

    Far enough from all surface it could as well be outside, beyond a seam close by; and where a face ends there is
    surface, which takes longer to measure to.
    """
    level = probe.points[np.abs(probe.points[:, 2]) < _LEVEL, :2]
    rows = np.flatnonzero(ok)
    across = np.column_stack([-run.tangents[rows, 1], run.tangents[rows, 0]])
    x, y = level.T[:, None, :, None]
    over = run.points[rows, None] + x * run.tangents[rows, None] + y * across[:, None]
    shapely.prepare(around.outline)
    ok[rows] = shapely.contains_xy(around.outline, over[..., 0], over[..., 1]).all(1)
    rows, over = rows[ok[rows]], over[ok[rows]]
    ok[rows] = ~shapely.dwithin(around.edge, shapely.points(over), probe.clearance - _LEVEL).any(1)


def stations_in_world(run: Run, frame: Frame, local: np.ndarray) -> np.ndarray:
    """Return points (k, 3) of a joint's frame at every station, (n, k, 3), vehicle frame, mm."""
    n = len(run.points)
    zeros = np.zeros((n, 1))
    origin = frame.to_world(np.hstack([run.points, zeros]))
    x = np.hstack([run.tangents, zeros]) @ frame.rotation.T
    y = np.column_stack([-run.tangents[:, 1], run.tangents[:, 0]]) @ frame.rotation.T[:2]
    axes = np.stack([x, y, np.broadcast_to(np.asarray(frame.z), (n, 3))], axis=1)
    return origin[:, None] + np.einsum("kj,njc->nkc", local, axes)
