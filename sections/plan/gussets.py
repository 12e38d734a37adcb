"""Gussets: the rib below a hardpoint, as its section lies in the printer, so that it needs no support."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from sections.features.hardpoint import HardpointShape
from sections.numbers.frame import Frame, Plane
from sections.plan.model import PlannedBoss, PlannedJoint, PlannedSection
from sections.solids.distance import MeshDistance
from sections.solids.print_solid import PrintSolid

# deg; what hangs over by no more from the upright needs no support (common practice, no source), and the most a rib may
# lean away from its standoff.
PRINTS, _MOST = 45.0, 60.0


@dataclass(frozen=True)
class GussetRoom:
    """What a gusset keeps off. planes : of seams, by id. clear : mm, off a seam. wall : mm, below the skin."""

    planes: dict[str, Plane]
    joints: tuple[PlannedJoint, ...]
    clear: float
    skin: MeshDistance
    wall: float

    def of(self, section: PlannedSection) -> GussetRoom:
        """Return what belongs to one section."""
        planes = {name: self.planes[name] for name, _ in section.seams}
        joints = tuple(joint for joint in self.joints if section.id in (joint.minus, joint.plus))
        return replace(self, planes=planes, joints=joints)


def with_gussets(
    bosses: tuple[PlannedBoss, ...], sections: list[PlannedSection], beside: GussetRoom
) -> tuple[PlannedBoss, ...]:
    """Return the bosses, hardpoints of the sections laid with the gussets they need."""
    laid, made = {section.id: section for section in sections}, []
    for boss in bosses:
        section = laid.get(boss.section)
        if section is None or not isinstance(boss.boss, HardpointShape) or not boss.boss.ribbed:
            made.append(boss)
            continue
        made.append(with_gusset(boss, np.array(section.pose.z), beside.of(section)))
    return tuple(made)


def with_gusset(planned: PlannedBoss, up: np.ndarray, beside: GussetRoom) -> PlannedBoss:
    """Return a hardpoint with the gusset it needs in its section's pose; as it was where it needs or has room for none.

    up : (3,) of the bed, vehicle frame. beside : seams and joints of its section alone. What is left without a gusset
    that needs one is reported by the checks.
    """
    axis = np.array(planned.frame.z)
    leaning = np.degrees(np.arccos(np.clip(axis @ up, -1.0, 1.0)))
    steep = leaning - PRINTS
    if steep <= 0 or steep > _MOST or not isinstance(planned.boss, HardpointShape):
        return planned
    frame = planned.frame
    down = -up @ frame.rotation
    if down[0] > 0 and planned.boss.channel is not None:
        # The channel opens toward +x: away from the rib, where that side is clear of the skin too.
        turned = Frame(frame.origin, tuple(-c for c in frame.x), tuple(-c for c in frame.y), frame.z)
        if beside.skin.depth(turned.to_world(planned.boss.channel_places())).min() <= beside.wall:
            return planned
        frame, down = turned, -up @ turned.rotation
    turn = float(np.degrees(np.arctan2(down[1], down[0])))
    boss = replace(planned.boss, gusset=float(np.tan(np.radians(steep))), turn=turn)
    corners = frame.to_world(boss.gusset_corners())
    if any(
        (plane.distance(corners) * np.sign(plane.distance(corners[:1]))).min() < beside.clear
        for plane in beside.planes.values()
    ):
        return planned
    rib = PrintSolid.hull(corners)
    if any(_access(joint).gap_to(rib, 1.0) <= 0 for joint in beside.joints):
        return planned
    return replace(planned, frame=frame, boss=boss)


def _access(joint: PlannedJoint) -> PrintSolid:
    """Return the space a joint takes on both sides of its seam: a bolt with the ways to it, or its own length."""
    rods = [
        PrintSolid.rod(radius, *sorted((0.0, sign * end)))
        for side, sign in (("minus", -1), ("plus", 1))
        for radius, end in joint.joint.access(side)
    ]
    return rods[0].unite(rods[1:]).placed(joint.frame)
