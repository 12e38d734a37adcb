"""Finding the pairs of bare sections that meet, and their joints: planned on the right, mirrored to the left."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
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
from sections.planning.join_step import (
    PairTask,
    Whole,
    about,
    join_pair,
    put_in_the_way,
    reach_in,
    seam_faces,
    stand_in_the_way,
)
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


@dataclass(frozen=True)
class Parted:
    """A body in its bare sections. seams : in the order they are cut. only : the one section whose joints are wanted,
    None for all."""

    seams: tuple[Seam, ...]
    pieces: list[Piece]
    bosses: tuple[PlannedBoss, ...]
    only: str | None = None

    def is_wanted(self, minus: Piece, plus: Piece) -> bool:
        """Return whether what two sections share is to be joined here: on the left it is a mirror image."""
        if _is_left(minus, plus):
            return False
        return self.only is None or self.only in {name for piece in (minus, plus) for name in (piece.id, piece.twin)}


def join_pieces(settings: Settings, parted: Parted, scratch: Scratch, pool: Pool) -> Joined:
    """Return all pairs of a body, and their joints."""
    pieces = parted.pieces
    ids = [piece.id for piece in pieces]
    tasks = [(scratch.folder, piece.blank, list(piece.seams)) for piece in pieces]
    faces = dict(zip(ids, pool.map("reading seam faces", seam_faces, tasks, ids), strict=True))
    by_id = {piece.id: piece for piece in pieces}
    seams = {seam.id: seam for piece in pieces for seam, _ in piece.seams}
    sides = {piece.id: {seam.id: sign for seam, sign in piece.seams} for piece in pieces}
    found = contacts(faces, sides, seams)
    own = [one for one in found.joined if parted.is_wanted(by_id[one.minus], by_id[one.plus])]
    standing = _standing(pieces, scratch, pool)
    tasks = [(scratch.folder, _pair_task(f, by_id, parted, standing), _rules(settings)) for f in own]
    blocks = list({task.whole: None for _, task, _ in tasks if task.interface.seam.bolted})
    reached = [(scratch.folder, block) for block in blocks]
    pool.map("looking where hands reach", reach_in, reached, [f"{len(block.planes)} sides" for block in blocks])
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


@dataclass(frozen=True)
class _Standing:
    """What bare sections are in the way of. low, high : (n, 3) mm, of their bounds, in order. kept : the names all that
    stands is kept under, of the body and of each panel that opens: the one is put together without the others."""

    low: np.ndarray
    high: np.ndarray
    kept: dict[str, str]


def _standing(pieces: list[Piece], scratch: Scratch, pool: Pool) -> _Standing:
    """Return what bare sections are in the way of, kept in the scratch folder."""
    tasks = [(scratch.folder, piece.blank) for piece in pieces]
    stands = pool.map("seeing what is in the way", stand_in_the_way, tasks, [piece.id for piece in pieces])
    low, high = np.array([one.bounds for one in stands]).reshape(-1, 2, 3).transpose(1, 0, 2)
    both = list(zip(stands, pieces, strict=True))
    kept = {
        panel: put_in_the_way(scratch, [one for one, piece in both if piece.panel == panel])
        for panel in {piece.panel for piece in pieces}
    }
    return _Standing(low, high, kept)


def _pair_task(interface: Interface, by_id: dict[str, Piece], parted: Parted, standing: _Standing) -> PairTask:
    """Return the task of joining two sections. standing : of all pieces."""
    minus, plus = by_id[interface.minus], by_id[interface.plus]
    near = tuple(boss_axis(boss) for boss in parted.bosses if boss.section in (minus.id, plus.id))
    others = (_others(minus, interface), _others(plus, interface))
    low, high = about(interface)
    beside = np.flatnonzero(((standing.low < high) & (standing.high > low)).all(1))
    around = [parted.pieces[number] for number in beside]
    around = tuple(one.blank for one in around if one.panel == minus.panel and one not in (minus, plus))
    whole = Whole(standing.kept[minus.panel], _block(minus, interface.seam, parted.seams))
    return PairTask(interface, minus.blank, plus.blank, *others, near, whole, around)


def _block(piece: Piece, seam: Seam, seams: tuple[Seam, ...]) -> tuple[Plane, ...]:
    """Return the part of the body that is whole once a seam is joined, by planes it lies on the plus side of: the cuts
    made before that one, which are joined after it."""
    sides = dict(piece.sides)
    earlier = seams[: next(number for number, one in enumerate(seams) if one.id == seam.id)]
    return tuple(one.plane.toward(sides[one.id]) for one in earlier if one.id in sides)


def _others(piece: Piece, interface: Interface) -> tuple[Plane, ...]:
    return tuple(seam.plane for seam, _ in piece.seams if seam.id != interface.seam.id)
