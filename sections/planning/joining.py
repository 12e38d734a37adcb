"""Finding the pairs of bare sections that meet, and their joints: planned on the right, mirrored to the left."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass, replace

from shapely import MultiPolygon

from sections.features import JointSet
from sections.numbers.frame import Plane
from sections.plan.bosses import boss_axis
from sections.plan.contacts import Interface, contacts
from sections.plan.joints import (
    JointRules,
    mirrored_joint,
    mirrored_pair,
    mirrored_shortage,
    only_touching,
    pair_across,
)
from sections.plan.model import PlannedBoss, PlannedJoint, PlannedPair, PlannedShortage
from sections.plan.seams import Seam, mirrored_side, seam_kinds
from sections.planning.join_step import PairTask, join_pair, reach_in, seam_faces
from sections.planning.pieces import Piece
from sections.processes.pool import Pool
from sections.results.scratch import Scratch
from sections.settings import Settings
from sections.settings.joint_line import flange_reach, joint_line, shortest_run


@dataclass(frozen=True)
class Joined:
    """The pairs of a body with their joints, what found no room, every section's faces by seam, and all that meet:
    (seam, section on its minus side, section on its plus side)."""

    pairs: list[PlannedPair]
    joints: list[PlannedJoint]
    shortages: list[PlannedShortage]
    faces: dict[str, dict[str, MultiPolygon]]
    meeting: list[tuple[str, str, str]]


def join_pieces(
    settings: Settings,
    all_seams: tuple[Seam, ...],
    pieces: list[Piece],
    bosses: tuple[PlannedBoss, ...],
    scratch: Scratch,
    pool: Pool,
) -> Joined:
    """Return all pairs and joints of the pieces. all_seams : in the order they are cut."""
    ids = [piece.id for piece in pieces]
    tasks = [(scratch.folder, piece.blank, list(piece.seams)) for piece in pieces]
    faces = dict(zip(ids, pool.map("reading seam faces", seam_faces, tasks, ids), strict=True))
    by_id = {piece.id: piece for piece in pieces}
    seams = {seam.id: seam for piece in pieces for seam, _ in piece.seams}
    sides = {piece.id: {seam.id: sign for seam, sign in piece.seams} for piece in pieces}
    found = contacts(faces, sides, seams)
    own = [f for f in found.joined if not _is_left(by_id[f.minus], by_id[f.plus])]
    meets = defaultdict(set)
    for one in (*found.joined, *found.touching):
        meets[one.minus].add(one.plus)
        meets[one.plus].add(one.minus)
    tasks = [(scratch.folder, _pair_task(f, by_id, all_seams, bosses, meets), _rules(settings)) for f in own]
    blocks = list({task.block: None for _, task, _ in tasks if task.interface.seam.bolted})
    reached = [(scratch.folder, block) for block in blocks]
    pool.map("looking where hands reach", reach_in, reached, [f"{len(block)} sides" for block in blocks])
    results = pool.map("placing joints", join_pair, tasks, [f"{f.minus} {f.plus}" for f in own])
    pairs = [pair_across(interface) for interface in own]
    joints = [joint for made, _ in results for joint in made]
    shortages = [short for _, missing in results for short in missing]
    meeting = [(f.seam.id, f.minus, f.plus) for f in (*found.joined, *found.touching)]
    whole = _with_left(Joined(pairs, joints, shortages, faces, meeting), by_id, seams)
    return replace(whole, shortages=whole.shortages + [only_touching(interface) for interface in found.touching])


def _with_left(joined: Joined, by_id: dict[str, Piece], seams: dict[str, Seam]) -> Joined:
    """Return the pairs and joints with the mirror images of those on the right added."""
    twin = {name: piece.twin for name, piece in by_id.items()}
    kinds = seam_kinds(tuple(seams.values()))
    seam_twin = {name: mirrored_side(f"+{name}", kinds)[1:] for name in seams}
    right = [p for p in joined.pairs if _has_left_twin(by_id[p.minus], by_id[p.plus])]
    left = {pair.id: mirrored_pair(pair, twin, seam_twin) for pair in right}
    joints = [mirrored_joint(joint, left[joint.pair]) for joint in joined.joints if joint.pair in left]
    shortages = [mirrored_shortage(s, left[s.where]) for s in joined.shortages if s.where in left]
    return replace(
        joined,
        pairs=joined.pairs + list(left.values()),
        joints=joined.joints + joints,
        shortages=joined.shortages + shortages,
    )


def _rules(settings: Settings) -> JointRules:
    return JointRules(
        JointSet.of(settings),
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


def _pair_task(
    interface: Interface,
    by_id: dict[str, Piece],
    seams: tuple[Seam, ...],
    bosses: tuple[PlannedBoss, ...],
    meets: dict[str, set[str]],
) -> PairTask:
    minus, plus = by_id[interface.minus], by_id[interface.plus]
    near = tuple(boss_axis(boss) for boss in bosses if boss.section in (minus.id, plus.id))
    others = (_others(minus, interface), _others(plus, interface))
    around = sorted((meets[minus.id] | meets[plus.id]) - {minus.id, plus.id})
    block = _block(minus, interface.seam, seams)
    return PairTask(interface, minus.blank, plus.blank, *others, near, block, tuple(by_id[one].blank for one in around))


def _block(piece: Piece, seam: Seam, seams: tuple[Seam, ...]) -> tuple[Plane, ...]:
    """Return the part of the body that is whole once a seam is joined, by planes it lies on the plus side of: the cuts
    made before that one, which are joined after it."""
    sides = dict(piece.sides)
    earlier = seams[: next(number for number, one in enumerate(seams) if one.id == seam.id)]
    return tuple(one.plane.toward(sides[one.id]) for one in earlier if one.id in sides)


def _others(piece: Piece, interface: Interface) -> tuple[Plane, ...]:
    return tuple(seam.plane for seam, _ in piece.seams if seam.id != interface.seam.id)
