"""The printed make of a jig: its parts parted for the bed, built and written."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import numpy as np
import shapely

from sections.building.tools import joint_tools
from sections.export.manifest import PartRecord
from sections.features import JointSet
from sections.jig.model import PlannedPiece
from sections.jig.printed import Butt, JigPiece, Joints, pieces_of
from sections.jig.sheet_part import SheetPart
from sections.plan.pose import Down, beds_of
from sections.processes.pool import Pool
from sections.products.flat_parts import FlatPart, write_flat
from sections.settings import Settings
from sections.settings.jig import MARK_DEPTH
from sections.solids.print_solid import PrintSolid

# mm; width of lines and letters cut in.
_LINE = 0.9


@dataclass(frozen=True)
class PrintedJig:
    """What was written: records of the pieces, each as planned, and where they meet."""

    records: list[PartRecord]
    pieces: tuple[PlannedPiece, ...]
    butts: tuple[Butt, ...]


def write_printed(settings: Settings, parts: tuple[SheetPart, ...], root: Path, pool: Pool) -> PrintedJig:
    """Part a jig's parts for the bed, and write their pieces below `root`. Raises BadInput, BuildFailed."""
    kinds, beds = JointSet.of(settings), beds_of(settings)
    dowel, slot = kinds.kind("dowel").choices
    joints = Joints(dowel, kinds.kind("key").choices[0], slot)
    parted = [pieces_of(part, beds, joints) for part in parts]
    pieces = [piece for its, _ in parted for piece in its]
    butts = tuple(butt for _, its in parted for butt in its)
    tools = joint_tools(one.joint for butt in butts for one in butt.joints)
    pool.progress.start("writing the printed jig", len(pieces))
    records, planned = [], []
    for piece in pieces:
        record, laid = _write(settings, piece, butts, tools, root)
        records.append(record)
        planned.append(laid)
        pool.progress.advance(piece.id)
    return PrintedJig(records, tuple(planned), butts)


def _write(settings: Settings, piece: JigPiece, butts: tuple[Butt, ...], tools: dict, root: Path):
    own = [butt for butt in butts if piece.id in (butt.minus, butt.plus)]
    beside = tuple(sorted({butt.plus if butt.minus == piece.id else butt.minus for butt in own}))
    joints = tuple(joint.id for butt in own for joint in butt.joints)
    down = Down("flat", -np.array(piece.part.frame.z), piece.outline.area)
    part = FlatPart(piece.id, "jig", "jig", _built(piece, own, tools), down, beside, joints)
    record, pose = write_flat(settings, part, root)
    file = record.files[0].path
    return record, PlannedPiece(piece.id, piece.part.id, pose.frame, record.size, file, pose.printer, pose.growth)


def _built(piece: JigPiece, butts: list[Butt], tools: dict) -> PrintSolid:
    """Return a piece in the vehicle frame, its joints made, its lines and letters cut in."""
    part = piece.part
    half = part.thickness / 2
    solid = PrintSolid.prism(piece.outline, -half, half)
    grooves = shapely.union_all([mark.buffer(_LINE / 2) for mark in part.marks]) & piece.outline
    if not grooves.is_empty:
        solid = solid.cut([PrintSolid.prism(grooves, half - MARK_DEPTH, half + 1.0)])
    solid = solid.placed(part.frame)
    added, cut = [], []
    for butt in butts:
        side = "minus" if butt.minus == piece.id else "plus"
        for joint in butt.joints:
            for tool in tools[joint.joint, side]:
                (cut if tool.action == "cut" else added).append(tool.solid.placed(joint.frame))
    return (solid.unite(added) if added else solid).cut(cut)
