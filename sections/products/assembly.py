"""The assembly's STEP file, made in another process from what the others left in the scratch folder."""

from __future__ import annotations

from pathlib import Path

from sections.building.section import ExactTool, Toolbox
from sections.building.tools import made_loose_pieces
from sections.export.colours import part_colour
from sections.numbers.frame import Frame
from sections.plan.model import Plan
from sections.processes.kept_attempts import Made
from sections.products.exact_step import exact_toolbox
from sections.results.scratch import Scratch, held
from sections.solids.exact_solid import ExactSolid, read_brep
from sections.solids.step_join import WrittenPart
from sections.solids.write_step import AssemblyPart, tessellated_shape, write_assembly

ASSEMBLY = "assembly.step"
# Colours of pins and keys, and of what is cut in tessellated sections.
_HARDWARE, _CUT = (0.25, 0.25, 0.28), (0.75, 0.55, 0.25)


def write_assembly_file(folder: Path, name: str, sections: tuple[str, ...]) -> Made:
    """Write the assembly into the scratch folder: every section in place, exact or tessellated, the hardware at each of
    its joints, and for tessellated ones what is cut in them."""
    scratch, plan = Scratch(folder), held(folder, "plan")
    parts, inexact = [], set()
    for number, section in enumerate(sections):
        kept = folder / f"exact-{section}.brep"
        if kept.is_file():
            shape = WrittenPart.of((folder / f"{section}.step").read_bytes()) or read_brep(kept).shape
        else:
            shape = tessellated_shape(scratch.mesh(f"built-{section}"))
            inexact.add(section)
        parts.append(AssemblyPart(section, shape, (), part_colour(number)))
    parts += [
        AssemblyPart(one.piece.name, one.piece.solid.wrapped, one.frames, _HARDWARE)
        for one in made_loose_pieces(plan.joints)
    ]
    if inexact:
        parts += _designed(plan, exact_toolbox(folder), inexact)
    write_assembly(parts, name, folder / ASSEMBLY)
    return Made(None, (ASSEMBLY,))


def _designed(plan: Plan, tools: Toolbox, sections: set[str]) -> list[AssemblyPart]:
    """Return as exact solids, in place, what is cut for the joints and bosses of some sections, and their tongues.

    In a section of triangles they have no faces to measure from.
    """
    places: dict[tuple[str, tuple[ExactTool, ...]], list[Frame]] = {}
    for planned in plan.joints:
        for side, section in (("minus", planned.minus), ("plus", planned.plus)):
            if section in sections:
                used = (planned.joint.kind, tools.joints[planned.joint, side])
                places.setdefault(used, []).append(planned.frame)
    for boss in plan.bosses:
        if boss.section in sections:
            places.setdefault(("boss", (tools.bores[boss.boss],)), []).append(boss.frame)
    made: list[AssemblyPart] = []
    for (kind, used), frames in places.items():
        for action, what in (("cut", "cut"), ("add", "tongue")):
            shapes = [tool.solid.shape for tool in used if tool.action == action]
            if shapes:
                name = f"{kind}-{what}-{len(made) + 1}"
                made.append(AssemblyPart(name, ExactSolid.of(shapes).shape, tuple(frames), _CUT))
    return made
