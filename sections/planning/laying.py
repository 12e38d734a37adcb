"""Laying every section on the bed and finding room for its label."""

from __future__ import annotations

from collections import defaultdict

import numpy as np

from sections.features.boss import BossShape
from sections.features.hardpoint import HardpointShape
from sections.features.key import Key
from sections.plan.bosses import boss_axis
from sections.plan.model import PlannedBoss, PlannedJoint, PlannedSection
from sections.plan.pose import beds_of
from sections.plan.seam_labels import SeamFace
from sections.planning.joining import Joined
from sections.planning.lay_step import LayRules, LayTask, lay_section
from sections.planning.pieces import Piece
from sections.processes.pool import Pool
from sections.results.scratch import Scratch
from sections.settings import Settings
from sections.settings.joint_line import flange_reach


def lay_pieces(
    settings: Settings,
    pieces: list[Piece],
    joined: Joined,
    bosses: tuple[PlannedBoss, ...],
    scratch: Scratch,
    pool: Pool,
) -> list[PlannedSection]:
    """Return the sections with print pose and label. A mirror image is posed on its own, for its own tongues."""
    rules = LayRules(
        beds_of(settings), settings.wall.thickness, flange_reach(settings), settings.label, settings.pose,
        settings.material.density,
    )  # fmt: skip
    shared = _shared(joined)
    tasks = [(scratch.folder, _task(piece, joined, bosses, shared[piece.id]), rules) for piece in pieces]
    laid = pool.map("laying sections", lay_section, tasks, [piece.id for piece in pieces])
    sections = []
    for piece, (pose, foot, labelled) in zip(pieces, laid, strict=True):
        label, frame = labelled if labelled is not None else (None, None)
        mirror_of = piece.twin if piece.blank.mirrored else None
        bounds = tuple((seam.id, sign) for seam, sign in piece.seams)
        sections.append(
            PlannedSection(
                piece.id, mirror_of, bounds, pose.frame, pose.size, pose.down, label, frame,
                pose.printer, piece.panel, pose.growth, pose.standing, foot,
            )
        )  # fmt: skip
    return sections


def _shared(joined: Joined) -> defaultdict[str, list[tuple[str, PlannedJoint]]]:
    """Return for each section its joints, each with its seam."""
    seam_of = {pair.id: pair.seam for pair in joined.pairs}
    shared = defaultdict(list)
    for joint in joined.joints:
        for section in (joint.minus, joint.plus):
            shared[section].append((seam_of[joint.pair], joint))
    return shared


def _task(
    piece: Piece, joined: Joined, bosses: tuple[PlannedBoss, ...], shared: list[tuple[str, PlannedJoint]]
) -> LayTask:
    tongues = [(s, j) for s, j in shared if j.minus == piece.id and j.joint.tongue]
    standing = {seam for seam, _ in tongues}
    corners = [joint.frame.to_world(_tongue_corners(joint.joint)) for _, joint in tongues]
    own = tuple(boss for boss in bosses if boss.section == piece.id)
    corners += [boss.frame.to_world(_mouth_corners(boss.boss)) for boss in own]
    faces = joined.faces[piece.id]
    downs = tuple(
        (f"seam {seam.id}", seam.plane if sign < 0 else seam.plane.flipped(), float(faces[seam.id].area))
        for seam, sign in piece.seams
        if seam.id in faces and seam.id not in standing
    )
    near = tuple((boss_axis(boss)[1], boss.boss.reach) for boss in own)
    marked = tuple(
        SeamFace(
            seam.plane.toward(-sign),
            seam.plane.frame(),
            faces[seam.id],
            _taken([joint for name, joint in shared if name == seam.id]),
        )
        for seam, sign in piece.seams
        if seam.id in faces
    )
    return LayTask(piece.blank, downs, np.vstack([np.empty((0, 3)), *corners]), piece.planes, near, marked, own)


def _taken(joints: list[PlannedJoint]) -> np.ndarray:
    """Return where joints are, and how far each reaches, (n, 4) mm."""
    return np.array([(*j.frame.origin, j.joint.half_length) for j in joints]).reshape(-1, 4)


def _mouth_corners(boss: BossShape | HardpointShape) -> np.ndarray:
    half = boss.outer / 2 + boss.travel
    return np.array([(x, y, 0.0) for x in (-half, half) for y in (-half, half)])


def _tongue_corners(key: Key) -> np.ndarray:
    half_l, half_w = key.length / 2, key.width / 2
    return np.array([(x, y, z) for x in (-half_l, half_l) for y in (-half_w, half_w) for z in (0.0, key.height)])
