"""The printed make of a jig: its parts parted for the bed, built, written, read back and checked."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import numpy as np
import shapely
from shapely import Polygon

from sections.building.settle import settle
from sections.building.tools import joint_tools
from sections.checks.bed import check_bed
from sections.checks.built import BodyTruth, BuiltPair, BuiltSection, Rules
from sections.checks.finding import Finding, Measure
from sections.checks.fit_dowel import check_dowels
from sections.checks.fit_key import check_keys
from sections.checks.mating import check_contact, check_interference
from sections.checks.pair_faces import read_faces
from sections.checks.solid import check_solid
from sections.export.files import PartFiles, write_part
from sections.export.manifest import PartRecord
from sections.features import joints_from_settings
from sections.jig.model import PlannedJig, PlannedPiece
from sections.jig.printed import Butt, JigPiece, Joints, pieces_of
from sections.jig.sheet_part import SheetPart
from sections.numbers.frame import Frame
from sections.numbers.mesh import Mesh, weld_exact
from sections.plan.pose import Down, beds_of, choose_pose
from sections.run.pool import Pool
from sections.settings import Settings
from sections.solids.mesh_read import read_mesh
from sections.solids.print_solid import PrintSolid

# mm; width and depth of lines and letters cut in, and how far off a face outlines are read, clear of the joints.
_LINE, _DEEP, _OFF_FACE = 0.9, 0.8, 0.3
# mm; pieces that touch are read as one outline.
_CLOSED = 2e-3
_PRINTED = ("stl", "3mf")
_BUTT_CHECKS = (check_interference, check_contact, check_dowels, check_keys)


@dataclass(frozen=True)
class PrintedJig:
    """What was written: records of the pieces, each as planned, and where they meet."""

    records: list[PartRecord]
    pieces: tuple[PlannedPiece, ...]
    butts: tuple[Butt, ...]


def write_printed(settings: Settings, parts: tuple[SheetPart, ...], root: Path, pool: Pool) -> PrintedJig:
    """Part a jig's parts for the bed, and write their pieces below `root`. Raises BadInput, BuildFailed."""
    dowel, slot, key, _ = joints_from_settings(settings)
    joints, beds = Joints(dowel, key, slot), beds_of(settings)
    parted = [pieces_of(part, beds, joints) for part in parts]
    pieces = [piece for its, _ in parted for piece in its]
    butts = tuple(butt for _, its in parted for butt in its)
    tools = joint_tools([joint for butt in butts for joint in butt.joints])
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
    solid = _built(piece, own, tools)
    down = Down("flat", -np.array(piece.part.frame.z), piece.outline.area)
    pose = choose_pose(solid.corners, [down], beds_of(settings))
    mesh = settle(solid, pose.frame, piece.id)
    formats = [name for name in settings.output.formats if name in _PRINTED]
    files = write_part(PartFiles(piece.id, "jig", mesh, pose.frame), root, formats, settings.material.name)
    size = tuple(float(s) for s in mesh.size)
    beside = tuple(sorted({butt.plus if butt.minus == piece.id else butt.minus for butt in own}))
    joints = tuple(joint.id for butt in own for joint in butt.joints)
    grams = mesh.volume_mm3 * settings.material.density / 1000
    record = PartRecord(piece.id, "jig", 1, False, files, mesh.volume_mm3, grams, size, "", beside, joints)
    return record, PlannedPiece(piece.id, piece.part.id, pose.frame, size, files[0].path, pose.printer)


def _built(piece: JigPiece, butts: list[Butt], tools: dict) -> PrintSolid:
    """Return a piece in the vehicle frame, its joints made, its lines and letters cut in."""
    part = piece.part
    half = part.thickness / 2
    solid = PrintSolid.prism(piece.outline, -half, half)
    grooves = shapely.union_all([mark.buffer(_LINE / 2) for mark in part.marks]) & piece.outline
    if not grooves.is_empty:
        solid = solid.cut([PrintSolid.prism(grooves, half - _DEEP, half + 1.0)])
    solid = solid.placed(part.frame)
    added, cut = [], []
    for butt in butts:
        side = "minus" if butt.minus == piece.id else "plus"
        for joint in butt.joints:
            for tool in tools[joint.joint, side]:
                (cut if tool.action == "cut" else added).append(tool.solid.placed(joint.frame))
    return (solid.unite(added) if added else solid).cut(cut)


def printed_outlines(out: Path, jig: PlannedJig) -> dict[str, Polygon]:
    """Return the outline of every part of a printed jig, in its own x, y, as its pieces read back make it."""
    outlines = {}
    for part in jig.parts:
        middle = part.frame.to_world(np.array([[0.0, 0.0, _OFF_FACE - part.thickness / 2]]))[0]
        level = Frame(tuple(middle), part.frame.x, part.frame.y, part.frame.z)
        own = [piece for piece in jig.pieces if piece.part == part.id]
        meshes = [piece.pose.place(_read(out, piece)) for piece in own]
        flat = shapely.union_all([PrintSolid.of(mesh, part.id).section_at(level).buffer(_CLOSED) for mesh in meshes])
        largest = max(shapely.get_parts(flat.buffer(-_CLOSED)), key=lambda one: one.area)
        outlines[part.id] = Polygon(largest.exterior)
    return outlines


def printed_meshes(out: Path, jig: PlannedJig) -> dict[str, Mesh]:
    """Return the pieces of a printed jig read back, by id, in the vehicle frame."""
    return {piece.id: piece.pose.place(_read(out, piece)) for piece in jig.pieces}


def _read(out: Path, piece: PlannedPiece) -> Mesh:
    return weld_exact(read_mesh(out / piece.file)[0])


def check_printed(out: Path, jig: PlannedJig, truth: BodyTruth, rules: Rules) -> tuple[list[Finding], list[Measure]]:
    """Return what is wrong with the pieces of a printed jig, and with the joints between them."""
    built = {piece.id: BuiltSection(piece, _read(out, piece), {}, ()) for piece in jig.pieces}
    findings, measures = [], []
    for piece in built.values():
        for check in (check_solid, check_bed):
            found, read = check(piece, truth, rules)
            findings, measures = findings + found, measures + read
    for butt in jig.butts:
        pair = BuiltPair("jig", butt.id, butt.plane, built[butt.minus], built[butt.plus], butt.joints)
        faces = read_faces(pair)
        for check in _BUTT_CHECKS:
            found, read = check(pair, faces, rules)
            findings, measures = findings + found, measures + read
    return findings, measures
