"""Every tool of a plan as triangles, made once from its CadQuery solid."""

from __future__ import annotations

from collections import Counter

from sections.building.section import Toolbox, ToolMesh
from sections.features.feature import Hardware
from sections.numbers.mesh import Mesh
from sections.plan.model import Plan
from sections.solids.tessellate import tessellate

# mm; how closely tools and loose pieces are followed: a tenth of the smallest clearance anyone would ask for.
TOOL_DEVIATION = 0.01


def make_tools(plan: Plan) -> Toolbox:
    """Return the triangulated tools of all joints and bosses of a plan."""
    joints = {}
    for joint in {planned.joint for planned in plan.joints}:
        for tool in joint.tools():
            joints[joint, tool.side] = ToolMesh(tool.action, solid_mesh(tool.solid, joint.kind))
    bosses = {planned.boss for planned in plan.bosses}
    pillars = {boss: solid_mesh(boss.pillar(), "boss") for boss in bosses}
    bores = {boss: solid_mesh(boss.bore(), "boss hole") for boss in bosses}
    return Toolbox(joints, pillars, bores)


def loose_hardware(plan: Plan) -> list[tuple[Hardware, int]]:
    """Return the loose pieces the joints of a plan need and how many of each, by name."""
    uses = Counter(planned.joint for planned in plan.joints)
    pieces: dict[str, tuple[Hardware, int]] = {}
    for joint, count in uses.items():
        piece = joint.hardware()
        if piece is not None:
            pieces[piece.name] = (piece, count + pieces.get(piece.name, (piece, 0))[1])
    return [pieces[name] for name in sorted(pieces)]


def solid_mesh(solid, what: str) -> Mesh:
    """Return a CadQuery solid as triangles within TOOL_DEVIATION of it. Raises BuildFailed."""
    return tessellate(solid.wrapped, TOOL_DEVIATION, what).mesh
