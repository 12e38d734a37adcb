"""Exact solids in other processes: the body cut into cells, a cell carved, a section made, proved and written."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import lru_cache, partial
from pathlib import Path

import numpy as np

from sections.building.section import Bare, Toolbox, with_features, with_label
from sections.building.tools import make_exact_tools
from sections.checks.same_solid import COMPARED, agreement
from sections.errors import BuildFailed, NotExact
from sections.features.boss import BossShape
from sections.numbers.bounds import boxes_meet
from sections.numbers.frame import Plane
from sections.numbers.mesh import Mesh
from sections.plan.cells import Panel, divide_all
from sections.plan.model import Plan, PlannedSection
from sections.plan.seams import Seam
from sections.planning.blank import Blank
from sections.processes.kept_attempts import Made
from sections.results.scratch import Scratch, held
from sections.solids.distance import MeshDistance
from sections.solids.exact_solid import ExactSolid, read_brep, write_brep
from sections.solids.write_step import step_bytes
from sections.wall.carve_exact import ORDERS, CutOrder, InnerFace, carve_exact, hollow_exact
from sections.wall.depth import DepthRule, even_depth
from sections.wall.kept_body import cutters_of, skin_distance
from sections.wall.offset_fields import GENTLE, SMOOTH, CellRegion, offset_groups
from sections.wall.opening_edges import Collar, Cutter, sharp_tips
from sections.wall.recess import recess_walls

# mm; a corner this near the body's skin is on it.
_ON_SKIN = 0.1


@dataclass(frozen=True)
class ExactLimits:
    """What an exact solid is held to: by how much the print solid may leave the body's skin, and the least wall, mm."""

    deviation: float
    wall: float


@dataclass(frozen=True)
class CutTask:
    """What an exact body is cut by. panels : (name, seams that cut it, names its openings are kept under)."""

    seams: tuple[Seam, ...]
    symmetric: bool
    panels: list


def cut_cells(folder: Path, task: CutTask) -> Made:
    """Cut the exact body of a scratch folder into its cells and keep each as "block-<cell>.brep".

    Makes their ids, those with the most faces first: they take longest to carve. Cells on the left of a symmetric
    body are left out when a seam runs along its centre plane.
    """
    whole = read_brep(folder / "body.brep")
    cut = [Panel(name, cut_by, [_kept(folder, one) for one in kept]) for name, cut_by, kept in task.panels]
    cells = divide_all(whole, task.seams, cut, symmetric=task.symmetric, right_only=True)
    for cell in cells:
        write_brep(cell.block, folder / f"block-{cell.id}.brep")
    ids = [cell.id for cell in sorted(cells, key=lambda cell: -cell.block.face_count)]
    return Made(ids, tuple(f"block-{one}.brep" for one in ids))


def carve_exact_cell(folder: Path, cell: str, rule: DepthRule, walls: tuple[str, ...], limits: ExactLimits) -> Made:
    """Carve one exact cell and keep its pieces as "<wall>.brep".

    rule : its seams are the cell's, with the cell on their plus side. walls : names of the print solid's pieces in
    the scratch folder. Raises NotExact when no way of carving gives a wall that agrees with them.
    """
    block = read_brep(folder / f"block-{cell}.brep")
    whys: list[str] = []
    for attempt in _attempts(folder, block, rule, whys):
        try:
            made = _as_printed(attempt(), folder, rule, walls, limits)
        except BuildFailed as error:
            whys.append(str(error))
            continue
        for name, piece in made.items():
            write_brep(piece, folder / f"{name}.brep")
        return Made(None, tuple(f"{name}.brep" for name in made))
    raise NotExact(whys[0])


def _attempts(folder: Path, block: ExactSolid, rule: DepthRule, whys: list[str]) -> Iterator[Callable[[], ExactSolid]]:
    """Give one way of carving a cell after another; why a way is not open at all is added to `whys`."""
    region = CellRegion(block.bounds, rule.seams)
    cutters = _cutters(folder, block)
    near = {cutter.id for cutter in cutters}
    tips = sharp_tips(rule, [cutter for cutter in cutters_of(folder) if cutter.id in near])
    tried = set()
    for smooth in (GENTLE, SMOOTH):
        # Fitted once for all orders tried.
        fitted = lru_cache(partial(_fitted, folder, region, smooth))
        try:
            groups = fitted(rule)
        except BuildFailed as error:
            whys.append(str(error))
            continue
        if len(groups) in tried:
            continue
        tried.add(len(groups))
        deeper = partial(_deeper, block, fitted)
        for order in ORDERS:
            if len(groups) > 1 or not order.groups:
                yield partial(carve_exact, block, groups, order, cutters, deeper, tips)


def _as_printed(whole: ExactSolid, folder: Path, rule: DepthRule, walls: tuple[str, ...], limits: ExactLimits) -> dict:
    """Return the pieces of a cell's exact wall by the name of the print solid's piece each is. Raises NotExact."""
    pieces = whole.pieces()
    if len(pieces) != len(walls):
        raise NotExact(f"it comes in {len(pieces)} pieces, the print solid in {len(walls)}")
    middles = np.array([piece.corners.mean(0) for piece in pieces])
    made = {}
    for wall in walls:
        printed = Scratch(folder).mesh(wall)
        piece = pieces[int(np.linalg.norm(middles - printed.bounds.mean(0), axis=1).argmin())]
        _prove(piece, printed, rule.seams, limits, skin_distance(folder))
        made[wall] = piece
    return made


def _prove(
    solid: ExactSolid, printed: Mesh, planes: tuple[Plane, ...], limits: ExactLimits, skin: MeshDistance | None = None
) -> None:
    """Raise NotExact when an exact solid is not valid, not the same as the print solid, or, where it is off that, not
    as deep below the body's skin as a wall has to be."""
    if not solid.is_valid:
        raise NotExact("the CAD kernel finds it not valid")
    mesh = solid.quick_mesh(COMPARED)
    why = agreement(mesh, printed, list(planes)).why_not(limits.deviation)
    if why is not None:
        raise NotExact(f"it differs from the print solid: {why}")
    if skin is not None:
        _hold_wall(mesh, printed, skin, limits.wall)


def _hold_wall(mesh: Mesh, printed: Mesh, skin: MeshDistance, least: float) -> None:
    """Raise NotExact where a corner of the exact solid, off the print solid's surface, is less deep than `least` mm."""
    depth = skin.depth(mesh.vertices)
    shallow = (depth > _ON_SKIN) & (depth < least)
    shallow[shallow] = MeshDistance(printed).unsigned(mesh.vertices[shallow]) > 2 * COMPARED
    if shallow.any():
        raise NotExact(f"its wall comes to {depth[shallow].min():.2f} mm where its inner face could not be fitted")


def _fitted(folder: Path, region: CellRegion, smooth: float, rule: DepthRule) -> list[InnerFace]:
    """Return the surfaces at a rule's depth below the skin. Raises NotExact, BuildFailed."""
    groups, recesses = offset_groups(held(folder, "samples"), skin_distance(folder), rule, region, smooth)
    if not recesses:
        return list(groups)
    return [*groups, *recess_walls(_kept(folder, "body").faces, recesses, rule.wall)]


def _deeper(
    block: ExactSolid, fitted: Callable[[DepthRule], list[InnerFace]], depth: float, order: CutOrder
) -> ExactSolid:
    """Return the space in a block deeper below the skin than `depth` mm. Raises NotExact, BuildFailed."""
    return hollow_exact(block, fitted(even_depth(depth)), order)


@dataclass(frozen=True)
class ExactOpening:
    """An opening kept in a scratch folder as "opening-<id>.brep". bounds : (2, 3) mm, of all it does. has_faces : False
    for a mesh. depth, floor : of its collar, with "around-<id>.brep" and, where there is a floor, "hole-<id>.brep"."""

    id: str
    bounds: np.ndarray
    has_faces: bool
    depth: float | None
    floor: float | None


def _cutters(folder: Path, block: ExactSolid) -> list[Cutter[ExactSolid]]:
    """Return the openings that reach into the bounds of a block. Raises NotExact for one that is a mesh."""
    near = []
    for one in held(folder, "exact-openings"):
        if not boxes_meet(one.bounds, block.bounds):
            continue
        if not one.has_faces:
            raise NotExact(f"opening {one.id} is a mesh")
        collar = None
        if one.depth is not None:
            hole = None if one.floor is None else _kept(folder, f"hole-{one.id}")
            collar = Collar(one.depth, _kept(folder, f"around-{one.id}"), one.floor, hole)
        near.append(Cutter(one.id, _kept(folder, f"opening-{one.id}"), collar))
    return near


@lru_cache(maxsize=64)
def _kept(folder: Path, name: str) -> ExactSolid:
    return read_brep(folder / f"{name}.brep")


@lru_cache(maxsize=1)
def exact_toolbox(folder: Path) -> Toolbox:
    """Return the exact tools of the plan in a scratch folder, made once a process."""
    return make_exact_tools(held(folder, "plan"))


def build_exact(folder: Path, section_id: str, blank: Blank, limits: ExactLimits) -> Made:
    """Apply a section's features to its exact wall, prove it against the print solid, keep it as "exact-<id>.brep", and
    its STEP file as "<id>.step", in the scratch folder; its twin's as "featured-<id>.brep" may be of use.

    Raises NotExact, BuildFailed.
    """
    plan = held(folder, "plan")
    section = plan.section(section_id)
    featured, is_own = _featured(folder, plan, section, blank)
    solid = with_label(section, featured, None)
    seams = {seam.id: seam.plane for seam in plan.seams}
    own = tuple(seams[name] for name, _ in section.seams)
    _prove(solid, Scratch(folder).mesh(f"built-{section_id}"), own, limits)
    (folder / f"{section_id}.step").write_bytes(step_bytes(solid.shape, section_id, lean=True))
    write_brep(solid, folder / f"exact-{section_id}.brep")
    if is_own:
        # Not before it is proved: what is made of its twin must not hang on when this one failed.
        write_brep(featured, folder / f"featured-{section_id}.brep")
    files = (f"{section_id}.step", f"exact-{section_id}.brep", f"featured-{section_id}.brep")
    return Made(None, tuple(name for name in files if (folder / name).is_file()))


def is_its_twins_image(plan: Plan, section_id: str) -> bool:
    """Return whether a section on the left, its joints and bosses with it, is its twin's mirror image: nothing on it is
    turned as the section is printed, and nothing joins it across the centre plane, where the two sides differ."""
    joints, bosses = plan.joints_of(section_id), plan.bosses_of(section_id)
    across = any(abs(joint.frame.origin[1]) < 1e-6 and abs(joint.frame.z[1]) > 1 - 1e-9 for joint in joints)
    return not across and all(isinstance(boss.boss, BossShape) for boss in bosses)


def _featured(folder: Path, plan: Plan, section: PlannedSection, blank: Blank) -> tuple[ExactSolid, bool]:
    """Return (the section with joints and bosses; whether it was made of its own wall, not of its twin, where that is
    made)."""
    bosses = plan.bosses_of(section.id)
    joints = plan.joints_of(section.id)
    twin = folder / f"featured-{section.mirror_of}.brep"
    if blank.mirrored and twin.is_file() and is_its_twins_image(plan, section.id):
        return read_brep(twin).mirrored_y(), False
    bare = Bare(read_brep(folder / f"{blank.wall}.brep"), read_brep(folder / f"{blank.block}.brep"))
    # Made where its wall was carved, and mirrored last: OCC takes the hollow of a mirrored wall for material.
    made = with_features(section.id, bare, joints, bosses, exact_toolbox(folder), mirrored=blank.mirrored)
    return (made.mirrored_y() if blank.mirrored else made), True
