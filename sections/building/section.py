"""One section: its bare wall, with bosses, marks, tongues, holes and pockets applied."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

from sections.errors import BuildFailed
from sections.numbers.mesh import Mesh
from sections.plan.model import PlannedBoss, PlannedJoint, PlannedSection
from sections.solids.print_solid import PrintSolid
from sections.solids.prism import prism
from sections.wall.carve import DUST


@dataclass(frozen=True)
class ToolMesh:
    """A joint's or boss's tool as triangles in its own frame, and what it does: "cut" or "add"."""

    action: str
    mesh: Mesh

    @cached_property
    def solid(self) -> PrintSolid:
        """The solid the triangles bound; made on first use, so that a tool can be handed to another process."""
        return PrintSolid.of(self.mesh, "tool")


@dataclass(frozen=True)
class Toolbox:
    """Every tool a plan uses, triangulated once.

    joints : a tuple by (joint, "minus" or "plus"). pillars, bores : by boss.
    """

    joints: dict
    pillars: dict
    bores: dict


@dataclass(frozen=True)
class Bare:
    """A section before its features: the wall in its cell, and the body's own block it was carved from."""

    wall: PrintSolid
    block: PrintSolid


def make_section(
    section: PlannedSection,
    bare: Bare,
    joints: tuple[PlannedJoint, ...],
    bosses: tuple[PlannedBoss, ...],
    tools: Toolbox,
) -> PrintSolid:
    """Return the section in the vehicle frame. Raises BuildFailed when it comes out in more than one piece."""
    added, cut = [], []
    # In the order of their ids: the same section is the same to the byte, built with all others or alone.
    for joint in sorted(joints, key=lambda joint: joint.id):
        side = "minus" if joint.minus == section.id else "plus"
        for tool in tools.joints[joint.joint, side]:
            (cut if tool.action == "cut" else added).append(tool.solid.placed(joint.frame))
    for boss in bosses:
        added.append(tools.pillars[boss.boss].solid.placed(boss.frame).common(bare.block))
        cut.append(tools.bores[boss.boss].solid.placed(boss.frame))
    if section.label is not None:
        added.append(_raised_mark(section, bare))
    whole = bare.wall.unite(added) if added else bare.wall
    return _one_piece(whole.cut(cut), section.id)


def _raised_mark(section: PlannedSection, bare: Bare) -> PrintSolid:
    """Return the mark: its outline's prism through the wall moved inward by the relief, so it follows the face.

    The prism may reach other walls of the section, and moved they would stand out of their skin: hence the block.
    """
    label, frame = section.label, section.label_frame
    reach = max(label.size) / 4 + label.relief
    stamp = prism(label.outline(frame), -reach, reach).placed(frame)
    inward = [label.relief * c for c in frame.z]
    return stamp.common(bare.wall.moved(inward)).common(bare.block)


def _one_piece(solid: PrintSolid, what: str) -> PrintSolid:
    pieces = [piece for piece in solid.pieces() if piece.volume_mm3 > DUST]
    if len(pieces) != 1:
        volumes = ", ".join(f"{piece.volume_mm3:.0f}" for piece in pieces)
        raise BuildFailed(f"section {what}: its features part it into {len(pieces)} pieces ({volumes} mm3)")
    return pieces[0]
