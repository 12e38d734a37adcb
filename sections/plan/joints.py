"""The joints of one pair of sections on one seam.

Room for a dowel's slot looked for along the joint line does not hold once the slot is turned to the other dowel: on a
bow its end came through the web. Room is looked for again along the way it lies.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from sections.features import JointSet
from sections.features.feature import JointKind
from sections.numbers.frame import Frame, Plane, frame_from
from sections.numbers.mesh import MIRROR_Y, Mesh
from sections.plan.contacts import Interface
from sections.plan.fastening import Fastening
from sections.plan.hands import Hands
from sections.plan.model import PlannedJoint, PlannedPair, PlannedShortage
from sections.plan.placed_joints import PlacedJoint, Shortage, place_joints
from sections.plan.room import RoomFor, Surroundings, find_room, has_room, in_plastic, lean, surface_around
from sections.plan.runs import Run, joint_runs
from sections.solids.distance import MeshDistance
from sections.solids.planar import longest_side

# mm; surfaces further than this from an interface's outline cannot crowd its joints.
_REACH = 30.0


@dataclass(frozen=True)
class JointRules:
    """What the settings say about joints.

    depth : of the joint line below the skin. pitch : between bolts. flange_reach : how far a flange and its back
    reach from the seam. shortest : along less than this two sections need no joints of their own. All mm.
    """

    joints: JointSet
    depth: float
    pitch: float
    wall: float
    flange_reach: float
    shortest: float


@dataclass(frozen=True)
class Side:
    """One section of a pair: its bare mesh, the other seams that bound it, its bosses (end, end, radius)."""

    mesh: Mesh
    planes: tuple[Plane, ...]
    bosses: tuple[tuple[np.ndarray, np.ndarray, float], ...] = ()


def plan_pair(
    interface: Interface, minus: Side, plus: Side, skin: MeshDistance, rules: JointRules, hands: Hands | None = None
) -> tuple[list[PlannedJoint], list[PlannedShortage]]:
    """Return the joints of a pair of bare sections, and what found no room. hands : what gets to them; None: all."""
    plane = interface.seam.plane
    frame = plane.frame()
    runs = joint_runs(interface.outline, frame, skin, rules.depth)
    material = surface_around(minus.mesh, plus.mesh, plane, _bounds(interface))
    around = Surroundings(
        frame, interface.outline, MeshDistance(material), skin, rules.wall, minus.planes, plus.planes,
        rules.flange_reach, rules.joints.deepest, minus.bosses + plus.bosses,
    )  # fmt: skip
    fastening = {kind.name: Fastening(kind.choices, around, hands) for kind in rules.joints.kinds if kind.is_turned}
    bolted = bool(interface.seam.bolted)
    rooms = {
        kind.name: _rooms(runs, kind, fastening.get(kind.name), around)
        for kind in rules.joints.kinds
        if bolted or not kind.is_turned
    }
    placed, short, directions = _with_slots(runs, rooms, around, rules)
    pair = pair_across(interface)
    sides: dict[Side, str] = {"minus": pair.minus, "plus": pair.plus}
    joints: list[PlannedJoint] = []
    count: dict[str, int] = {}
    for one in placed:
        name, place = one.kind.name, rooms[one.kind.name][one.run].places[one.station]
        count[name] = count.get(name, 0) + 1
        along = directions.get(name, runs[one.run].tangents[one.station])
        joint = one.joint(rooms[name])
        why = fastening[name].why_so(joint, place, along, sides) if name in fastening else ""
        at = _frame(place, along, frame)
        joints.append(PlannedJoint(f"{pair.id}:{name}{count[name]}", pair.id, pair.minus, pair.plus, at, joint, why))
    if longest_side(interface.outline) < rules.shortest:
        return joints, [] if joints else [only_touching(interface)]
    leaning = max((lean(run, around) for run in runs), default=0.0)
    at = _middle(interface, frame)
    reasons = {one.kind: f"{one.reason}; the skin leans {leaning:.0f} deg" for one in short}
    bonded = interface.seam.bolted == "room"
    for name in set(reasons) & set(fastening):
        if rooms[name]:
            reasons[name] = fastening[name].why_none(rooms[name], bonded=bonded)
    kinds = {name: "bonded" for name in fastening} if bonded else {}
    return joints, [PlannedShortage(kinds.get(kind, kind), pair.id, why, at) for kind, why in reasons.items()]


def _rooms(runs: list[Run], kind: JointKind, fastening: Fastening | None, around: Surroundings) -> list[RoomFor]:
    """Return where along each run one kind of joint has room. fastening : of one that hands turn."""
    judge = in_plastic(kind.choices[-1], around) if fastening is None else fastening.judge
    return [find_room(judge, run, around, kind.alike - 1) for run in runs]


def _with_slots(
    runs: list[Run], rooms: dict[str, list[RoomFor]], around: Surroundings, rules: JointRules
) -> tuple[list[PlacedJoint], list[Shortage], dict[str, np.ndarray]]:
    """Return the joints placed, what found no room, and by kind the direction, (2,), of two that stand at its ends.

    Room was found for a slot along its run; it points at the other dowel. Places without room for that are struck out.
    """
    free = {kind: [room.places.copy() for room in of_runs] for kind, of_runs in rooms.items()}
    ends = [kind for kind in rules.joints.kinds if kind.strung == "ends"]
    while True:
        placed, short = place_joints(runs, free, rules.joints.kinds, rules.pitch)
        directions: dict[str, np.ndarray] = {}
        struck = False
        for kind in ends:
            two = [one for one in placed if one.kind == kind]
            if len(two) != 2:
                continue
            places = np.array([free[kind.name][one.run][one.station] for one in two])
            directions[kind.name] = (places[1] - places[0]) / np.linalg.norm(places[1] - places[0])
            stands = has_room(kind.choices[-1], places, directions[kind.name], around)
            for one in (one for one, ok in zip(two, stands, strict=True) if not ok):
                free[kind.name][one.run][one.station] = np.nan
                struck = True
        if not struck:
            return placed, short, directions


def _middle(interface: Interface, frame: Frame) -> tuple[float, float, float]:
    """Return a place well on what a pair shares, mm."""
    middle = interface.outline.representative_point()
    x, y, z = frame.to_world(np.array([[middle.x, middle.y, 0.0]]))[0]
    return float(x), float(y), float(z)


def only_touching(interface: Interface) -> PlannedShortage:
    """Return what is to be said of two sections that meet in too little for a joint."""
    area = interface.outline.area
    text = f"the two share {area:.0f} mm2: too little for a joint; bond it"
    return PlannedShortage("joint", pair_across(interface).id, text, _middle(interface, interface.seam.plane.frame()))


def pair_across(interface: Interface) -> PlannedPair:
    """Return the pair of sections an interface joins."""
    return _pair(interface.seam.id, interface.minus, interface.plus, float(interface.outline.area))


def _pair(seam: str, minus: str, plus: str, area_mm2: float) -> PlannedPair:
    return PlannedPair(f"{seam}:{minus}+{plus}", seam, minus, plus, area_mm2)


def mirrored_pair(pair: PlannedPair, twin: dict[str, str], seam_twin: dict[str, str]) -> PlannedPair:
    """Return the mirror image in y = 0 of a pair."""
    return _pair(seam_twin[pair.seam], twin[pair.minus], twin[pair.plus], pair.area_mm2)


def mirrored_joint(joint: PlannedJoint, pair: PlannedPair) -> PlannedJoint:
    """Return the mirror image in y = 0 of a joint, as one of the mirrored `pair`.

    Every joint is its own mirror image in its x-z plane, so a mirrored right-handed frame places it.
    """
    x, z = joint.frame.x * MIRROR_Y, joint.frame.z * MIRROR_Y
    frame = frame_from(joint.frame.origin * MIRROR_Y, x, z)
    name = f"{pair.id}:{joint.id.rsplit(':', 1)[1]}"
    return replace(joint, id=name, pair=pair.id, minus=pair.minus, plus=pair.plus, frame=frame)


def mirrored_shortage(short: PlannedShortage, pair: PlannedPair) -> PlannedShortage:
    """Return the mirror image in y = 0 of what a pair has no room for, as that of the mirrored `pair`."""
    x, y, z = short.at
    return PlannedShortage(short.kind, pair.id, short.reason, (x, -y, z))


def outline_corners(interface: Interface) -> np.ndarray:
    """Return the corners of the box around an interface on its seam, (4, 3) mm, vehicle frame."""
    low_x, low_y, high_x, high_y = interface.outline.bounds
    corners = np.array([[x, y, 0.0] for x in (low_x, high_x) for y in (low_y, high_y)])
    return interface.seam.plane.frame().to_world(corners)


def _bounds(interface: Interface) -> np.ndarray:
    """Return the (2, 3) bounds, mm, of what may crowd the interface's joints."""
    corners = outline_corners(interface)
    return np.array([corners.min(0) - _REACH, corners.max(0) + _REACH])


def _frame(point: np.ndarray, along: np.ndarray, frame: Frame) -> Frame:
    origin = frame.to_world(np.array([[*point, 0.0]]))[0]
    return frame_from(origin, frame.rotation @ np.array([*along, 0.0]), np.asarray(frame.z))
