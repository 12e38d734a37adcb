"""One section: its bare wall, with bosses, labels, tongues, holes and pockets applied.

A raised label is the wall moved inward; where another wall of the section lies close by, that one moved stands out of
its skin, unless the label is kept inside the body's block.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

from sections.errors import BuildFailed
from sections.numbers.frame import Frame
from sections.numbers.mesh import Mesh
from sections.plan.model import PlannedBoss, PlannedJoint, PlannedSection
from sections.solids.print_solid import PrintSolid
from sections.wall.carve import DUST

if TYPE_CHECKING:
    from sections.solids.exact_solid import ExactSolid


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
class ExactTool:
    """A joint's or boss's tool as an exact solid in its own frame, and what it does: "cut" or "add"."""

    action: str
    solid: ExactSolid


@dataclass(frozen=True)
class Toolbox:
    """Every tool a plan uses, made once, for print solids or for exact ones.

    joints : a tuple by (joint, "minus" or "plus"). standoffs : a tuple by boss. bores : by boss.
    """

    joints: dict
    standoffs: dict
    bores: dict


@dataclass(frozen=True)
class Bare:
    """A section before its features: the wall in its cell, and the body's own block it was carved from, both of one
    kind; what is made of it is of that kind too."""

    wall: PrintSolid | ExactSolid
    block: PrintSolid | ExactSolid


def make_section(
    section: PlannedSection,
    bare: Bare,
    joints: tuple[PlannedJoint, ...],
    bosses: tuple[PlannedBoss, ...],
    tools: Toolbox,
) -> PrintSolid | ExactSolid:
    """Return the section in the vehicle frame. Raises BuildFailed when it comes out in more than one piece."""
    return with_label(section, with_features(section.id, bare, joints, bosses, tools), bare)


def with_features(
    section_id: str,
    bare: Bare,
    joints: tuple[PlannedJoint, ...],
    bosses: tuple[PlannedBoss, ...],
    tools: Toolbox,
    *,
    mirrored: bool = False,
) -> PrintSolid | ExactSolid:
    """Return the section with its joints and bosses. Raises BuildFailed when it comes out in more than one piece.

    mirrored : `bare` is the mirror image of what the section is made of; so is what is returned.
    """

    def placed(solid: PrintSolid | ExactSolid, frame: Frame) -> PrintSolid | ExactSolid:
        return solid.placed(frame).mirrored_y() if mirrored else solid.placed(frame)

    added, cut = [], []
    # In the order of their ids: the same section is the same to the byte, built with all others or alone.
    for joint in sorted(joints, key=lambda joint: joint.id):
        side = "minus" if joint.minus == section_id else "plus"
        for tool in tools.joints[joint.joint, side]:
            (cut if tool.action == "cut" else added).append(placed(tool.solid, joint.frame))
    for boss in bosses:
        added += [placed(tool.solid, boss.frame).common(bare.block) for tool in tools.standoffs[boss.boss]]
        cut.append(placed(tools.bores[boss.boss].solid, boss.frame))
    whole = bare.wall.unite(added) if added else bare.wall
    return _one_piece(whole.cut(cut), section_id)


def with_label(section: PlannedSection, solid: PrintSolid | ExactSolid, bare: Bare) -> PrintSolid | ExactSolid:
    """Return the section with its label: raised off the inner face, the outline's prism under that face moved inward by
    the relief; or sunk into a seam face. Raises BuildFailed when the section comes out in more than one piece."""
    label, frame = section.label, section.label_frame
    if label is not None:
        outline = label.outline(frame)
        if label.sunk:
            solid = solid.sunk(outline, frame, label.relief)
        else:
            solid = solid.raised(outline, frame, label.relief, bare)
    return _one_piece(solid, section.id)


def _one_piece(solid: PrintSolid | ExactSolid, what: str) -> PrintSolid | ExactSolid:
    pieces = solid.pieces()
    if len(pieces) > 1:
        pieces = [piece for piece in pieces if piece.volume_mm3 > DUST]
    if len(pieces) != 1:
        volumes = ", ".join(f"{piece.volume_mm3:.0f}" for piece in pieces)
        raise BuildFailed(f"section {what}: its features part it into {len(pieces)} pieces ({volumes} mm3)")
    return pieces[0]
