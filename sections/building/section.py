"""One section: its bare wall, with bosses, marks, tongues, holes and pockets applied."""

from __future__ import annotations

from dataclasses import dataclass

from sections.errors import BuildFailed
from sections.numbers.frame import Frame
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


@dataclass(frozen=True)
class Toolbox:
    """Every tool a plan uses, triangulated once.

    joints : by (joint, "minus" or "plus"). pillars, bores : by boss.
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
    for joint in joints:
        side = "minus" if joint.minus == section.id else "plus"
        tool = tools.joints[joint.joint, side]
        solid = _placed(tool.mesh, joint.frame, joint.id)
        (cut if tool.action == "cut" else added).append(solid)
    for boss in bosses:
        added.append(_placed(tools.pillars[boss.boss], boss.frame, boss.id).common(bare.block))
        cut.append(_placed(tools.bores[boss.boss], boss.frame, boss.id))
    if section.label is not None:
        added.append(_raised_mark(section, bare.wall))
    whole = bare.wall.unite(added) if added else bare.wall
    return _one_piece(whole.cut(cut), section.id)


def _placed(mesh: Mesh, frame: Frame, what: str) -> PrintSolid:
    return PrintSolid.of(frame.place(mesh), what)


def _raised_mark(section: PlannedSection, wall: PrintSolid) -> PrintSolid:
    """Return the mark: its outline's prism through the wall moved inward by the relief, so it follows the face."""
    label, frame = section.label, section.label_frame
    reach = max(label.size) / 4 + label.relief
    stamp = prism(label.outline(frame), -reach, reach).placed(frame)
    inward = [label.relief * c for c in frame.z]
    return stamp.common(wall.moved(inward))


def _one_piece(solid: PrintSolid, what: str) -> PrintSolid:
    pieces = [piece for piece in solid.pieces() if piece.volume_mm3 > DUST]
    if len(pieces) != 1:
        volumes = ", ".join(f"{piece.volume_mm3:.0f}" for piece in pieces)
        raise BuildFailed(f"section {what}: its features part it into {len(pieces)} pieces ({volumes} mm3)")
    return pieces[0]
