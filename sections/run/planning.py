"""From a body to its plan: cells carved, pieces named, pairs joined, sections laid on the bed."""

from __future__ import annotations

from dataclasses import dataclass
from string import ascii_uppercase

import numpy as np

from sections.body import Body
from sections.features import joints_from_settings
from sections.numbers.frame import Plane
from sections.plan.bosses import Carrier, plan_bosses
from sections.plan.cells import Cell, divide
from sections.plan.joints import JointRules, mirrored_joint
from sections.plan.mating import Interface, interfaces
from sections.plan.model import (
    PLAN_SCHEMA,
    Plan,
    PlannedBoss,
    PlannedJoint,
    PlannedSeam,
    PlannedSection,
    PlannedShortage,
)
from sections.plan.pose import Bed
from sections.plan.seams import Seam, mirrored_side, resolve_seams, seam_kinds
from sections.run.pool import Pool
from sections.run.scratch import Scratch, skin_distance
from sections.run.work import (
    Blank,
    LayRules,
    LayTask,
    PairTask,
    carve_cell,
    join_pair,
    lay_section,
    seam_faces,
)
from sections.settings import Settings
from sections.settings.joint_line import flange_reach, joint_line
from sections.solids.distance import MeshDistance
from sections.solids.print_solid import PrintSolid
from sections.wall.depth import DepthRule


@dataclass(frozen=True)
class Piece:
    """One bare section to be: its name, where it is kept, its twin, and the seams that bound it."""

    blank: Blank
    twin: str
    side: str
    seams: tuple[tuple[Seam, int], ...]

    @property
    def id(self) -> str:
        """The section's name."""
        return self.blank.id


@dataclass(frozen=True)
class Planned:
    """A plan, the bare sections it speaks of, and what was noticed on the way."""

    plan: Plan
    blanks: dict[str, Blank]
    notes: tuple[str, ...]


def make_plan(
    settings: Settings, body: Body, scratch: Scratch, pool: Pool, only: str | None = None
) -> Planned:
    """Return the plan for a body; with `only`, of that section and its neighbours alone.

    Raises BadInput for seams, bosses or an `only` that do not fit the body.
    """
    seams = resolve_seams(settings)
    scratch.put_mesh("skin", body.skin)
    scratch.put("openings", [opening.mesh for opening in body.openings])
    pool.progress.start("cutting cells", 1)
    cells = divide(PrintSolid.of(body.skin, "body"), seams, settings.body.symmetric)
    cells = cells if only is None else _near(cells, only)
    pieces, notes = _carve(settings, cells, scratch, pool)
    bosses = plan_bosses(settings, _carriers(settings, pieces, scratch), skin_distance(scratch.folder))
    joints, shortages, faces = _join(settings, pieces, bosses, scratch, pool)
    wanted = [piece for piece in pieces if only is None or piece.id == only]
    laid = _lay(settings, wanted, joints, bosses, faces, scratch, pool)
    shortages += [PlannedShortage("label", s.id, "no plain piece of inner face is large enough")
                  for s in laid if s.label is None]  # fmt: skip
    plan = Plan(
        PLAN_SCHEMA,
        settings.name,
        tuple(PlannedSeam(s.id, s.given, s.plane, s.within) for s in seams),
        tuple(laid),
        tuple(j for j in joints if only is None or only in (j.minus, j.plus)),
        tuple(b for b in bosses if only is None or b.section == only),
        tuple(s for s in shortages if only is None or only in s.where.replace(":", "+").split("+")),
    )
    return Planned(plan, {piece.id: piece.blank for piece in pieces}, tuple(notes))


def _near(cells: tuple[Cell, ...], only: str) -> tuple[Cell, ...]:
    """Return the cells of a section, of all that share a seam with it across it, and of their twins."""
    target = [cell for cell in cells if only.partition(".")[0] == cell.id]
    near = {cell.id for cell in target}
    for cell in target:
        sides = {(seam.id, -sign) for seam, sign in cell.seams}
        near |= {other.id for other in cells if any((s.id, sign) in sides for s, sign in other.seams)}
    near |= {cell.twin for cell in cells if cell.id in near}
    return tuple(cell for cell in cells if cell.id in near)


def _carve(
    settings: Settings, cells: tuple[Cell, ...], scratch: Scratch, pool: Pool
) -> tuple[list[Piece], list[str]]:
    """Carve every cell but the mirror images, and name the pieces."""
    flange = settings.flange
    own = [cell for cell in cells if cell.side != "L"]
    tasks = []
    for cell in own:
        scratch.put_mesh(f"block-{cell.id}", cell.block.mesh())
        rule = DepthRule(
            settings.wall.thickness, flange.height, flange.thickness, flange.underside, cell.planes
        )
        tasks.append((scratch.folder, cell.id, rule, settings.mesh.pitch))
    carved = {c.cell: c for c in pool.map("carving walls", carve_cell, tasks, [cell.id for cell in own])}
    pieces, notes = [], []
    for cell in cells:
        source = cell.twin if cell.side == "L" else cell.id
        count = len(carved[source].volumes_mm3)
        for number in range(count):
            suffix = "" if count == 1 else f".{ascii_uppercase[number]}"
            blank = Blank(cell.id + suffix, f"wall-{source}-{number}", f"block-{source}", cell.side == "L")
            pieces.append(Piece(blank, cell.twin + suffix, cell.side, cell.seams))
    filled = sum(c.filled for c in carved.values())
    dust = sum(c.dust_mm3 for c in carved.values())
    if filled:
        notes.append(f"{filled} closed bubbles smaller than three lattice steps filled")
    if dust > 0:
        notes.append(f"{dust:.2f} mm3 of crumbs under 1 mm3 each left out")
    return pieces, notes


def _carriers(settings: Settings, pieces: list[Piece], scratch: Scratch) -> list[Carrier]:
    if not settings.bosses:
        return []
    return [
        Carrier(p.id, MeshDistance(p.blank.load_wall(scratch)), tuple(s.plane for s, _ in p.seams))
        for p in pieces
    ]


def boss_axis(boss: PlannedBoss) -> tuple[np.ndarray, np.ndarray, float]:
    """Return (mouth, base, largest radius) of a boss in place, mm."""
    mouth = np.array(boss.frame.origin)
    return mouth, mouth - boss.boss.height * np.array(boss.frame.z), boss.boss.spread


def _join(settings, pieces: list[Piece], bosses, scratch: Scratch, pool: Pool):
    """Return (joints, shortages, faces by section and seam): right and centre pairs planned, left ones mirrored."""
    tasks = [(scratch.folder, piece.blank, list(piece.seams)) for piece in pieces]
    faces = dict(
        zip(
            [p.id for p in pieces],
            pool.map("reading seam faces", seam_faces, tasks, [p.id for p in pieces]),
            strict=True,
        )
    )
    by_id = {piece.id: piece for piece in pieces}
    seams = {seam.id: seam for piece in pieces for seam, _ in piece.seams}
    sides = {piece.id: {seam.id: sign for seam, sign in piece.seams} for piece in pieces}
    found = interfaces(faces, sides, seams)
    own = [f for f in found if not _is_left_pair(by_id[f.minus], by_id[f.plus])]
    rules = JointRules(
        joints_from_settings(settings), joint_line(settings), settings.bolts.pitch, settings.wall.thickness,
        flange_reach(settings),
    )  # fmt: skip
    tasks = [(scratch.folder, _pair_task(f, by_id, bosses), rules) for f in own]
    results = pool.map("placing joints", join_pair, tasks, [f"{f.minus} {f.plus}" for f in own])
    joints = [joint for made, _ in results for joint in made]
    shortages = [short for _, missing in results for short in missing]
    twin = {piece.id: piece.twin for piece in pieces}
    seam_twin = _seam_twins(tuple(seams.values()))
    left = [j for j in joints if _has_left_twin(by_id[j.minus], by_id[j.plus])]
    joints += [mirrored_joint(joint, twin, seam_twin) for joint in left]
    return joints, shortages, faces


def _is_left_pair(minus: Piece, plus: Piece) -> bool:
    """Return whether a pair is the mirror image of one on the right."""
    sides = {minus.side, plus.side}
    return "L" in sides and "R" not in sides


def _has_left_twin(minus: Piece, plus: Piece) -> bool:
    sides = {minus.side, plus.side}
    return "R" in sides and "L" not in sides


def _seam_twins(seams: tuple[Seam, ...]) -> dict[str, str]:
    kinds = seam_kinds(seams)
    return {seam.id: mirrored_side(f"+{seam.id}", kinds)[1:] for seam in seams}


def _pair_task(interface: Interface, by_id: dict[str, Piece], bosses: tuple[PlannedBoss, ...]) -> PairTask:
    minus, plus = by_id[interface.minus], by_id[interface.plus]
    near = tuple(boss_axis(b) for b in bosses if b.section in (minus.id, plus.id))
    return PairTask(
        interface, minus.blank, plus.blank, _others(minus, interface), _others(plus, interface), near
    )


def _others(piece: Piece, interface: Interface) -> tuple[Plane, ...]:
    return tuple(seam.plane for seam, _ in piece.seams if seam.id != interface.seam.id)


def _lay(settings, pieces, joints, bosses, faces, scratch: Scratch, pool: Pool) -> list[PlannedSection]:
    """Return the sections with pose and mark; a mirror image is posed on its own, for its own tongues."""
    printer = settings.printer
    margin = printer.margin
    room = (printer.bed[0] - 2 * margin, printer.bed[1] - 2 * margin, printer.bed[2] - margin)
    rules = LayRules(Bed(room, margin), settings.wall.thickness, flange_reach(settings), settings.label)
    tasks = [(scratch.folder, _lay_task(piece, joints, bosses, faces[piece.id]), rules) for piece in pieces]
    laid = pool.map("laying sections", lay_section, tasks, [piece.id for piece in pieces])
    sections = []
    for piece, (pose, mark) in zip(pieces, laid, strict=True):
        label, frame = mark if mark is not None else (None, None)
        mirror_of = piece.twin if piece.blank.mirrored else None
        bounds = tuple((seam.id, sign) for seam, sign in piece.seams)
        sections.append(
            PlannedSection(piece.id, mirror_of, bounds, pose.frame, pose.size, pose.down, label, frame)
        )
    return sections


def _lay_task(piece: Piece, joints: list[PlannedJoint], bosses, faces) -> LayTask:
    tongues = [j for j in joints if j.minus == piece.id and j.joint.kind == "key" and not j.joint.loose]
    standing = {joint.seam for joint in tongues}
    corners = [j.frame.to_world(_tongue_corners(j.joint)) for j in tongues]
    downs = tuple(
        (f"seam {seam.id}", seam.plane if sign < 0 else seam.plane.flipped(), float(faces[seam.id].area))
        for seam, sign in piece.seams
        if seam.id in faces and seam.id not in standing
    )
    near = tuple((boss_axis(b)[1], b.boss.spread) for b in bosses if b.section == piece.id)
    planes = tuple(seam.plane for seam, _ in piece.seams)
    return LayTask(piece.blank, downs, np.vstack([np.empty((0, 3)), *corners]), planes, near)


def _tongue_corners(key) -> np.ndarray:
    half_l, half_w = key.length / 2, key.width / 2
    return np.array(
        [(x, y, z) for x in (-half_l, half_l) for y in (-half_w, half_w) for z in (0.0, key.height)]
    )
