"""Finding the pairs of bare sections that meet, and their joints: planned on the right, mirrored to the left."""

from __future__ import annotations

from dataclasses import dataclass

from shapely import MultiPolygon

from sections.features import joints_from_settings
from sections.numbers.frame import Plane
from sections.plan.bosses import boss_axis
from sections.plan.joints import JointRules, mirrored_joint, mirrored_pair, mirrored_shortage, pair_of
from sections.plan.mating import Interface, interfaces
from sections.plan.model import PlannedBoss, PlannedJoint, PlannedPair, PlannedShortage
from sections.plan.seams import Seam, mirrored_side, seam_kinds
from sections.run.pieces import Piece
from sections.run.pool import Pool
from sections.run.scratch import Scratch
from sections.run.work import PairTask, join_pair, seam_faces
from sections.settings import Settings
from sections.settings.joint_line import flange_reach, joint_line, shortest_run


@dataclass(frozen=True)
class Joined:
    """The pairs of a body with their joints, what found no room, and every section's faces by seam."""

    pairs: list[PlannedPair]
    joints: list[PlannedJoint]
    shortages: list[PlannedShortage]
    faces: dict[str, dict[str, MultiPolygon]]


def join_pieces(
    settings: Settings, pieces: list[Piece], bosses: tuple[PlannedBoss, ...], scratch: Scratch, pool: Pool
) -> Joined:
    """Return all pairs and joints of the pieces."""
    ids = [piece.id for piece in pieces]
    tasks = [(scratch.folder, piece.blank, list(piece.seams)) for piece in pieces]
    faces = dict(zip(ids, pool.map("reading seam faces", seam_faces, tasks, ids), strict=True))
    by_id = {piece.id: piece for piece in pieces}
    seams = {seam.id: seam for piece in pieces for seam, _ in piece.seams}
    sides = {piece.id: {seam.id: sign for seam, sign in piece.seams} for piece in pieces}
    own = [f for f in interfaces(faces, sides, seams) if not _is_left(by_id[f.minus], by_id[f.plus])]
    tasks = [(scratch.folder, _pair_task(f, by_id, bosses), _rules(settings)) for f in own]
    results = pool.map("placing joints", join_pair, tasks, [f"{f.minus} {f.plus}" for f in own])
    pairs = [pair_of(interface) for interface in own]
    joints = [joint for made, _ in results for joint in made]
    shortages = [short for _, missing in results for short in missing]
    return _with_left(Joined(pairs, joints, shortages, faces), by_id, seams)


def _with_left(joined: Joined, by_id: dict[str, Piece], seams: dict[str, Seam]) -> Joined:
    """Return the pairs and joints with the mirror images of those on the right added."""
    twin = {name: piece.twin for name, piece in by_id.items()}
    kinds = seam_kinds(tuple(seams.values()))
    seam_twin = {name: mirrored_side(f"+{name}", kinds)[1:] for name in seams}
    right = [p for p in joined.pairs if _has_left_twin(by_id[p.minus], by_id[p.plus])]
    left = {pair.id: mirrored_pair(pair, twin, seam_twin) for pair in right}
    joints = [mirrored_joint(joint, left[joint.pair]) for joint in joined.joints if joint.pair in left]
    shortages = [mirrored_shortage(s, left[s.where]) for s in joined.shortages if s.where in left]
    return Joined(
        joined.pairs + list(left.values()), joined.joints + joints, joined.shortages + shortages, joined.faces
    )


def _rules(settings: Settings) -> JointRules:
    return JointRules(
        joints_from_settings(settings),
        joint_line(settings),
        settings.bolts.pitch,
        settings.wall.thickness,
        flange_reach(settings),
        shortest_run(settings),
    )


def _is_left(minus: Piece, plus: Piece) -> bool:
    """Return whether a pair is the mirror image of one on the right."""
    sides = {minus.side, plus.side}
    return "L" in sides and "R" not in sides


def _has_left_twin(minus: Piece, plus: Piece) -> bool:
    sides = {minus.side, plus.side}
    return "R" in sides and "L" not in sides


def _pair_task(interface: Interface, by_id: dict[str, Piece], bosses: tuple[PlannedBoss, ...]) -> PairTask:
    minus, plus = by_id[interface.minus], by_id[interface.plus]
    near = tuple(boss_axis(boss) for boss in bosses if boss.section in (minus.id, plus.id))
    return PairTask(interface, minus.blank, plus.blank, _others(minus, interface), _others(plus, interface), near)


def _others(piece: Piece, interface: Interface) -> tuple[Plane, ...]:
    return tuple(seam.plane for seam, _ in piece.seams if seam.id != interface.seam.id)
