"""The work done in other processes: one call a cell, a pair or a section, from plain inputs to plain results."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
from shapely import MultiPolygon

from sections.building.foot import make_foot
from sections.building.section import Bare, make_section
from sections.building.settle import settle
from sections.export.files import PartFiles, part_files, write_files
from sections.export.manifest import FileRecord
from sections.numbers.frame import Plane
from sections.numbers.free_space import Reached
from sections.numbers.mesh import Mesh, join
from sections.plan.contacts import Interface, faces_on_seams
from sections.plan.hands import REACH, Hands, hand_space, mesh_near
from sections.plan.joints import JointRules, Side, outline_corners, plan_pair
from sections.plan.model import Place, PlannedJoint, PlannedSection, PlannedShortage
from sections.plan.seams import Seam
from sections.results import digest_of
from sections.run.kept_attempts import Made
from sections.run.scratch import SHOWN, Scratch, Shown, cutters_of, held, skin_content, skin_distance
from sections.seaming.bed_fit import least_width
from sections.solids.distance import MeshDistance
from sections.solids.print_solid import PrintSolid
from sections.wall.carve import carve
from sections.wall.depth import DepthRule
from sections.wall.opening_edges import Cutter

_SECTIONS = "sections"
# A piece without skin that comes nearer to it than this part of the wall is part of the wall.
_IN_WALL = 0.9


@dataclass(frozen=True)
class CarvedCell:
    """What one cell gave. widths : of the skin of each of its pieces, mm. kept : what those are kept under. skinless :
    middle and size of those without skin, mm; lost : where such a one comes nearest to the skin, for those that hold
    wall. fragments dropped and voids filled."""

    cell: str
    widths: tuple[float, ...]
    kept: str
    skinless: tuple[tuple[Place, Place], ...]
    lost: tuple[Place, ...]
    dust_mm3: float
    filled: int


@dataclass(frozen=True)
class _Carved:
    """A cell's pieces, those without skin, and what became of it."""

    pieces: tuple[Mesh, ...]
    skinless: tuple[Mesh, ...]
    cell: CarvedCell


def carve_cell(folder: Path, cell: str, rule: DepthRule, pitch: float) -> CarvedCell:
    """Carve the block "block-<cell>" of a scratch folder; keep its pieces, by what they are carved from, as
    "wall-<kept>-<n>", those without skin as "left-<cell>-<n>". pitch : mm, of the lattice."""
    scratch = Scratch(folder)
    block = scratch.mesh(f"block-{cell}")
    near = [number for number, one in enumerate(cutters_of(folder)) if _boxes_meet(_reach(one), block.bounds)]
    contents = scratch.get("cutter-contents")
    given = (scratch.content(f"block-{cell}"), skin_content(folder), [contents[n] for n in near], rule, pitch)
    made = scratch.once("carved", given, lambda: _carved(folder, cell, PrintSolid.of(block, cell), rule, pitch, near))
    kept = digest_of(given)[:24]
    for number, piece in enumerate(made.pieces):
        scratch.put_mesh(f"wall-{kept}-{number}", piece)
    for number, piece in enumerate(made.skinless):
        scratch.put_mesh(f"left-{cell}-{number}", piece)
    return replace(made.cell, cell=cell, kept=kept)


def _carved(folder: Path, cell: str, block: PrintSolid, rule: DepthRule, pitch: float, near: list[int]) -> _Carved:
    cutters = cutters_of(folder)
    carved = carve(block, skin_distance(folder), rule, pitch, [cutters[number] for number in near])
    made = list(zip(carved.pieces, carved.skins, strict=True))
    made.sort(key=lambda one: tuple(np.round(_centre(one[0]), 0)))
    left = tuple((tuple(piece.bounds.mean(0)), tuple(piece.size)) for piece in carved.skinless)
    widths = tuple(least_width(corners) for _, corners in made)
    # Openings leave pieces below the skin on purpose.
    lost = () if near else tuple(_lost(carved.skinless, skin_distance(folder), rule.wall))
    told = CarvedCell(cell, widths, "", left, lost, carved.dust_mm3, carved.filled)
    return _Carved(tuple(piece for piece, _ in made), carved.skinless, told)


def _lost(skinless: tuple[Mesh, ...], skin: MeshDistance, wall: float) -> Iterator[Place]:
    """Yield where pieces that show no skin and yet are part of the wall come nearest to the skin, mm."""
    for piece in skinless:
        depth = skin.depth(piece.vertices)
        if depth.min() < _IN_WALL * wall:
            yield tuple(piece.vertices[int(depth.argmin())].tolist())


def _reach(cutter: Cutter) -> np.ndarray:
    return (cutter.solid if cutter.collar is None else cutter.collar.around).bounds


def _centre(mesh: Mesh) -> np.ndarray:
    low, high = mesh.bounds
    x, y, z = (low + high) / 2
    return np.array([z, x, abs(y)])


def _boxes_meet(one: np.ndarray, two: np.ndarray) -> bool:
    return bool((one[0] <= two[1]).all() and (two[0] <= one[1]).all())


@dataclass(frozen=True)
class Blank:
    """Where a bare section is kept: the carved piece, its block, and whether both are to be mirrored."""

    id: str
    wall: str
    block: str
    mirrored: bool

    def load_wall(self, scratch: Scratch) -> Mesh:
        """Return the bare wall in place."""
        return self._load(scratch, self.wall)

    def load_block(self, scratch: Scratch) -> Mesh:
        """Return the body's block in place."""
        return self._load(scratch, self.block)

    def content(self, scratch: Scratch) -> tuple[str, str, bool]:
        """Return the digests of wall and block, and whether they are mirrored: what all that is made of it depends
        on."""
        return scratch.content(self.wall), scratch.content(self.block), self.mirrored

    def _load(self, scratch: Scratch, name: str) -> Mesh:
        mesh = scratch.mesh(name)
        return mesh.mirrored_y() if self.mirrored else mesh


def seam_faces(folder: Path, blank: Blank, seams: list[tuple[Seam, int]]) -> dict[str, MultiPolygon]:
    """Return a bare section's faces on its seams, by seam id."""
    return faces_on_seams(blank.load_wall(Scratch(folder)), seams)


@dataclass(frozen=True)
class PairTask:
    """One pair of bare sections to be joined: the interface, both blanks, the other seams and bosses of each; and the
    part of the body they complete, by planes it lies on the plus side of. around : what meets either of them."""

    interface: Interface
    minus: Blank
    plus: Blank
    minus_planes: tuple[Plane, ...]
    plus_planes: tuple[Plane, ...]
    bosses: tuple[tuple[np.ndarray, np.ndarray, float], ...]
    block: tuple[Plane, ...]
    around: tuple[Blank, ...]


def reach_in(folder: Path, block: tuple[Plane, ...]) -> Reached | None:
    """Return where hands get in a part of the body put together, given by planes it lies on the plus side of; looked
    at before, the same."""
    shown: Shown = held(folder, SHOWN)
    return Scratch(folder).once("hands", (block, shown.digest), lambda: hand_space(shown.nodes, block))


@dataclass(frozen=True)
class _AboutHands:
    """What is in the way of hands that bolt a pair, besides its own two sections. walls : vehicle frame, mm. places :
    (n, 3) mm, where hands get to."""

    walls: Mesh
    places: np.ndarray


def join_pair(folder: Path, task: PairTask, rules: JointRules) -> tuple[list[PlannedJoint], list[PlannedShortage]]:
    """Return the joints of one pair, and what found no room."""
    scratch = Scratch(folder)
    about = _about_hands(folder, task) if task.interface.seam.bolted else None
    given = (
        task.interface, task.minus.content(scratch), task.plus.content(scratch), task.minus_planes, task.plus_planes,
        task.bosses, rules, skin_content(folder), about,
    )  # fmt: skip
    return scratch.once("joined", given, lambda: _join_pair(folder, task, rules, about))


def _join_pair(
    folder: Path, task: PairTask, rules: JointRules, about: _AboutHands | None
) -> tuple[list[PlannedJoint], list[PlannedShortage]]:
    scratch = Scratch(folder)
    minus = Side(task.minus.load_wall(scratch), task.minus_planes, task.bosses)
    plus = Side(task.plus.load_wall(scratch), task.plus_planes)
    walls = about and MeshDistance(join([minus.mesh, plus.mesh, about.walls]))
    hands = None if about is None else Hands(walls, about.places)
    return plan_pair(task.interface, minus, plus, skin_distance(folder), rules, hands)


def _about_hands(folder: Path, task: PairTask) -> _AboutHands:
    """Return what is about two bare sections that are bolted together: what meets them with its flanges, and the skin
    of all, as far as it is put together by then. It is the same wherever other seams run that are far from there."""
    corners = outline_corners(task.interface)
    bounds = np.array([corners.min(0) - REACH, corners.max(0) + REACH])
    walls = [held(folder, SHOWN).skin, *(blank.load_wall(Scratch(folder)) for blank in task.around)]
    near = [mesh_near(mesh, task.block, bounds) for mesh in walls]
    reached = reach_in(folder, task.block)
    places = np.empty((0, 3)) if reached is None else reached.places(bounds)
    return _AboutHands(join(near), places)


@dataclass(frozen=True)
class MadePart:
    """A part that was made: its volume, the size of its print files, height and volume of the foot in them."""

    id: str
    volume_mm3: float
    size: tuple[float, float, float]
    foot_height: float = 0.0
    foot_mm3: float = 0.0


@dataclass(frozen=True)
class _Built:
    """A section as built, in place, its print files by format, and what the manifest says of it."""

    mesh: Mesh
    files: tuple[tuple[str, bytes], ...]
    part: MadePart


def build_section(
    folder: Path, section_id: str, blank: Blank, root: Path, formats: list[str], material: str
) -> tuple[MadePart, tuple[FileRecord, ...]]:
    """Build one section of the plan kept in a scratch folder and write its print files below `root`.

    It is kept in the scratch folder in place, as "built-<id>", for its STEP file.
    """
    scratch, plan = Scratch(folder), held(folder, "plan")
    section, joints = plan.section(section_id), plan.joints_of(section_id)
    bosses = plan.bosses_of(section_id)
    given = (section, joints, bosses, blank.content(scratch), formats, material)
    made = scratch.once("built", given, lambda: _built(folder, section, blank, formats, material))
    scratch.put_mesh(f"built-{section_id}", made.mesh)
    return made.part, write_files(section_id, _SECTIONS, made.files, root)


def _built(folder: Path, section: PlannedSection, blank: Blank, formats: list[str], material: str) -> _Built:
    scratch, plan, name = Scratch(folder), held(folder, "plan"), f"section {section.id}"
    bare = Bare(
        PrintSolid.of(blank.load_wall(scratch), section.id),
        PrintSolid.of(blank.load_block(scratch), section.id),
    )
    bosses = plan.bosses_of(section.id)
    solid = make_section(section, bare, plan.joints_of(section.id), bosses, held(folder, "tools"))
    printed = settle(solid, section.pose, section.growth, name)
    mesh = printed.unstretched(section.growth)
    foot = None if section.foot is None else make_foot(printed, section.foot, section.growth, name)
    whole = printed if foot is None else join([printed, foot])
    made = MadePart(section.id, mesh.volume_mm3, tuple(float(s) for s in whole.size))
    if foot is not None:
        made = replace(made, foot_height=float(foot.size[2]), foot_mm3=foot.volume_mm3)
    files = part_files(PartFiles(section.id, _SECTIONS, whole), formats, material)
    return _Built(section.pose.place(mesh), files, made)


def write_inexact(folder: Path, section_id: str, facets: float | None) -> Made:
    """Keep the section "built-<id>" of a scratch folder as a STEP file there, "<id>.step".

    facets : mm, within which it gets planar faces; None for a tessellated shell.
    """
    from sections.solids.write_step import step_bytes, tessellated_step_bytes

    mesh = Scratch(folder).mesh(f"built-{section_id}")
    files = [f"{section_id}.step"]
    if facets is None:
        content = tessellated_step_bytes(mesh, section_id)
    else:
        from sections.solids.exact_solid import write_brep
        from sections.solids.facets import faceted

        solid = faceted(PrintSolid.of(mesh, section_id), facets)
        write_brep(solid, folder / f"exact-{section_id}.brep")
        files.append(f"exact-{section_id}.brep")
        content = step_bytes(solid.shape, section_id, lean=True)
    (folder / files[0]).write_bytes(content)
    return Made(None, tuple(files))
