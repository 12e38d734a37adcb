"""What the plan's joints and bosses are, as CadQuery solids in place."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import cadquery as cq

    from sections.numbers.frame import Frame
    from sections.plan.model import PlannedBoss, PlannedJoint


def joint_solids(joint: PlannedJoint) -> dict[str, list[cq.Shape]]:
    """Return what a planned joint cuts from the sections on its "minus" and "plus" side, or adds to them, in place."""
    place = _place(joint.frame)
    solids: dict[str, list[cq.Shape]] = {"minus": [], "plus": []}
    for tool in joint.joint.tools():
        solids[tool.side].append(tool.solid.moved(place))
    return solids


def boss_solids(boss: PlannedBoss) -> dict[str, list[cq.Shape]]:
    """Return what a planned boss or hardpoint adds to its section, "add", and what it cuts from it, "cut", in place.
    Of what is added, a section takes what lies in the body."""
    place = _place(boss.frame)
    return {"add": [one.moved(place) for one in boss.boss.standoffs()], "cut": [boss.boss.bore().moved(place)]}


def _place(frame: Frame) -> cq.Location:
    import cadquery as cq

    return cq.Location(cq.Plane(tuple(frame.origin), tuple(frame.x), tuple(frame.z)))
