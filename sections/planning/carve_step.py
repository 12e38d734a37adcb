"""Carving one cell, in another process."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from sections.numbers.mesh import Mesh
from sections.plan.model import Place
from sections.results import digest_of
from sections.results.scratch import Scratch
from sections.seaming.bed_fit import least_width
from sections.solids.distance import MeshDistance
from sections.solids.print_solid import PrintSolid
from sections.wall.carve import carve
from sections.wall.depth import DepthRule
from sections.wall.kept_body import cutters_of, skin_content, skin_distance
from sections.wall.opening_edges import Cutter

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
