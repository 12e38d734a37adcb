"""Every tool of a plan, made from its CadQuery solid: as triangles, and as it is."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from sections.building.section import ExactTool, Toolbox, ToolMesh
from sections.features.boss import BossShape
from sections.features.feature import Hardware, Joint, Tool
from sections.features.hardpoint import HardpointShape
from sections.numbers.frame import Frame
from sections.numbers.mesh import Mesh
from sections.plan.model import Plan, PlannedJoint
from sections.solids.print_solid import PrintSolid
from sections.solids.tessellate import tessellate

# mm; how closely loose pieces and bosses are followed.
PIECE_DEVIATION = 0.01


def boss_tools(boss: BossShape | HardpointShape) -> tuple[tuple[ToolMesh, ...], ToolMesh]:
    """Return (the triangulated standoffs of a boss, its bore)."""
    standoffs = tuple(ToolMesh("add", solid_mesh(standoff, "boss")) for standoff in boss.standoffs())
    return standoffs, ToolMesh("cut", solid_mesh(boss.bore(), "boss hole"))


def joint_tools(joints: Iterable[Joint]) -> dict:
    """Return the triangulated tools of joints, a tuple by (joint, "minus" or "plus")."""
    return {
        (joint, side): _side_tools(joint, [tool for tool in joint.tools() if tool.side == side])
        for joint in set(joints)
        for side in ("minus", "plus")
    }


def make_exact_tools(plan: Plan) -> Toolbox:
    """Return the tools of all joints and bosses of a plan as the exact solids they are."""
    from sections.solids.exact_solid import ExactSolid

    def exact(action: str, solid) -> ExactTool:
        return ExactTool(action, ExactSolid(solid.wrapped))

    joints = {
        (joint, side): tuple(exact(tool.action, tool.solid) for tool in joint.tools() if tool.side == side)
        for joint in {planned.joint for planned in plan.joints}
        for side in ("minus", "plus")
    }
    bosses = {planned.boss for planned in plan.bosses}
    standoffs = {boss: tuple(exact("add", standoff) for standoff in boss.standoffs()) for boss in bosses}
    return Toolbox(joints, standoffs, {boss: exact("cut", boss.bore()) for boss in bosses})


def _side_tools(joint: Joint, tools: list[Tool]) -> tuple[ToolMesh, ...]:
    """Return what a joint does to one section: all that is cut as one solid, all that is added as another."""
    made = []
    for action in ("cut", "add"):
        meshes = [solid_mesh(tool.solid, joint.kind, tool.deviation) for tool in tools if tool.action == action]
        if meshes:
            first, *others = (PrintSolid.of(mesh, joint.kind) for mesh in meshes)
            made.append(ToolMesh(action, first.unite(others).mesh() if others else meshes[0]))
    return tuple(made)


@dataclass(frozen=True)
class LoosePiece:
    """A loose piece the joints of a plan need, and the frame of each joint that takes one."""

    piece: Hardware
    frames: tuple[Frame, ...]


def made_loose_pieces(joints: Iterable[PlannedJoint]) -> list[LoosePiece]:
    """Return the loose pieces that joints take, by name; each is made once."""
    places: dict[Joint, list[Frame]] = {}
    for planned in joints:
        places.setdefault(planned.joint, []).append(planned.frame)
    found: dict[str, LoosePiece] = {}
    for joint, frames in places.items():
        piece = joint.hardware()
        if piece is not None:
            before = found.get(piece.name, LoosePiece(piece, ()))
            found[piece.name] = LoosePiece(before.piece, (*before.frames, *frames))
    return [found[name] for name in sorted(found)]


def solid_mesh(solid, what: str, deviation: float = PIECE_DEVIATION) -> Mesh:
    """Return a CadQuery solid as triangles within `deviation` mm of it. Raises BuildFailed."""
    return tessellate(solid.wrapped, deviation, what).mesh
