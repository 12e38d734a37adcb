"""The joints of one pair of sections on one seam."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from sections.features.bolt import Bolt
from sections.features.feature import Joint
from sections.numbers.frame import Frame, Plane, frame_from
from sections.numbers.mesh import MIRROR_Y, Mesh
from sections.plan.mating import Interface
from sections.plan.model import PlannedJoint, PlannedPair, PlannedShortage
from sections.plan.place import Placed, Shortage, place_joints
from sections.plan.room import RoomFor, Surroundings, find_room, has_room, lean, surface_around
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

    joints: tuple[Joint, Joint, Joint, Joint]
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
    interface: Interface, minus: Side, plus: Side, skin: MeshDistance, rules: JointRules
) -> tuple[list[PlannedJoint], list[PlannedShortage]]:
    """Return the joints of a pair of bare sections, and what found no room."""
    plane = interface.seam.plane
    frame = plane.frame()
    runs = joint_runs(interface.outline, frame, skin, rules.depth)
    material = surface_around(minus.mesh, plus.mesh, plane, _bounds(interface, frame))
    around = Surroundings(
        frame, interface.outline, MeshDistance(material), skin, rules.wall, minus.planes, plus.planes,
        rules.flange_reach, _reach_of_others(rules), minus.bosses + plus.bosses,
    )  # fmt: skip
    wanted = [joint for joint in rules.joints[1:] if interface.seam.bolted or joint.kind != "bolt"]
    rooms = {joint.kind: [find_room(joint, run, around) for run in runs] for joint in wanted}
    placed, short, slot_direction = _with_slot(runs, rooms, around, rules)
    pair = pair_of(interface)
    places = [rooms[one.joint.kind][one.run].places[one.station] for one in placed]
    joints: list[PlannedJoint] = []
    count: dict[str, int] = {}
    for one, point in zip(placed, places, strict=True):
        kind = one.joint.kind
        count[kind] = count.get(kind, 0) + 1
        along = runs[one.run].tangents[one.station]
        if kind == "dowel" and slot_direction is not None:
            along = slot_direction
        joint = one.joint
        if isinstance(joint, Bolt):
            joint = replace(joint, enters=str(rooms[kind][one.run].enters[one.station]))
        joint_id = f"{pair.id}:{kind}{count[kind]}"
        place = _frame(point, along, frame)
        joints.append(PlannedJoint(joint_id, pair.id, pair.minus, pair.plus, place, joint))
    if longest_side(interface.outline) < rules.shortest:
        return joints, []
    if interface.seam.bolted == "room":
        short = [one for one in short if one.kind != "bolt"]
    leaning = max((lean(run, around) for run in runs), default=0.0)
    at = _middle(interface, frame)
    return joints, [
        PlannedShortage(s.kind, pair.id, f"{s.reason}; the skin leans {leaning:.0f} deg", at) for s in short
    ]


def _with_slot(
    runs: list[Run], rooms: dict[str, list[RoomFor]], around: Surroundings, rules: JointRules
) -> tuple[list[Placed], list[Shortage], np.ndarray | None]:
    """Return the joints placed, what found no room, and the slot's direction, (2,), None without two dowels.

    Room was found for a slot along its run; it points at the other dowel. Places without room for that are struck out.
    """
    free = {kind: [room.places.copy() for room in of_runs] for kind, of_runs in rooms.items()}
    while True:
        placed, short = place_joints(runs, free, rules.joints, rules.pitch)
        dowels = [one for one in placed if one.joint.kind == "dowel"]
        if len(dowels) != 2:
            return placed, short, None
        places = np.array([free["dowel"][one.run][one.station] for one in dowels])
        direction = (places[1] - places[0]) / np.linalg.norm(places[1] - places[0])
        stands = has_room(dowels[1].joint, places, direction, around)
        if stands.all():
            return placed, short, direction
        for one in (one for one, ok in zip(dowels, stands, strict=True) if not ok):
            free["dowel"][one.run][one.station] = np.nan


def _reach_of_others(rules: JointRules) -> float:
    """Return how far joints across another seam may stand in where this one's are, mm; bolts keep a whole flange
    off."""
    return max(joint.reach for joint in rules.joints if joint.kind != "bolt")


def _middle(interface: Interface, frame: Frame) -> tuple[float, float, float]:
    """Return a place well on what a pair shares, mm."""
    middle = interface.outline.representative_point()
    x, y, z = frame.to_world(np.array([[middle.x, middle.y, 0.0]]))[0]
    return float(x), float(y), float(z)


def pair_of(interface: Interface) -> PlannedPair:
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


def _bounds(interface: Interface, frame: Frame) -> np.ndarray:
    """Return the (2, 3) bounds, mm, of what may crowd the interface's joints."""
    low_x, low_y, high_x, high_y = interface.outline.bounds
    corners = np.array([[x, y, 0.0] for x in (low_x, high_x) for y in (low_y, high_y)])
    world = frame.to_world(corners)
    return np.array([world.min(0) - _REACH, world.max(0) + _REACH])


def _frame(point: np.ndarray, along: np.ndarray, frame: Frame) -> Frame:
    origin = frame.to_world(np.array([[*point, 0.0]]))[0]
    return frame_from(origin, frame.rotation @ np.array([*along, 0.0]), np.asarray(frame.z))
