"""Carving the cells and naming the bare sections that come of it.

Bare sections are carved before joints are planned: openings can part a cell, and only carving tells which pieces
there are to join.
"""

from __future__ import annotations

from dataclasses import dataclass
from string import ascii_uppercase

from sections.errors import PARAMETERS, BadInput, Problem
from sections.numbers.frame import Plane
from sections.plan.cells import Cell
from sections.plan.model import Place
from sections.plan.seams import Seam
from sections.planning.blank import Blank
from sections.planning.carve_step import CarvedCell, carve_cell
from sections.processes.pool import Pool
from sections.results.scratch import Scratch
from sections.settings import Settings
from sections.wall.depth import DepthRule
from sections.wall.offset_surface import memory_for

# Bytes: the most a build may take, and what one on two cores takes beside its lattices, as measured. More processes
# hold more, whatever the body: that is no reason to refuse it.
_MEMORY, _BESIDE = 8e9, 2.1e9


@dataclass(frozen=True)
class Pieces:
    """What a body's cells gave. lost : (cell, place, mm) for each piece of wall without skin, that is left out. notes :
    what a builder should know."""

    bare: list[Piece]
    lost: list[tuple[str, Place]]
    notes: list[str]


@dataclass(frozen=True)
class Piece:
    """One bare section to be: its name, where it is kept, its twin, the seams that bound it, and the side of
    every cut it lies on, how wide its skin is, mm, and the panel it is of, "" for the body."""

    blank: Blank
    twin: str
    side: str
    seams: tuple[tuple[Seam, int], ...]
    sides: tuple[tuple[str, int], ...]
    width: float
    panel: str = ""

    @property
    def id(self) -> str:
        """The section's name."""
        return self.blank.id

    @property
    def planes(self) -> tuple[Plane, ...]:
        """The seams' planes."""
        return tuple(seam.plane for seam, _ in self.seams)


def carve_pieces(settings: Settings, cells: tuple[Cell, ...], scratch: Scratch, pool: Pool) -> Pieces:
    """Return the bare sections: every cell carved but those on the left, which are mirror images."""
    own = [cell for cell in cells if cell.side != "L"]
    refuse_too_large(settings, own, pool.processes)
    scratch.drop("left-")
    tasks = []
    for cell in own:
        scratch.put_mesh(f"block-{cell.id}", cell.block.mesh())
        tasks.append((scratch.folder, cell.id, depth_rule(settings, cell.planes), settings.mesh.pitch))
    carved = {c.cell: c for c in pool.map("carving walls", carve_cell, tasks, [cell.id for cell in own])}
    pieces = []
    for cell in cells:
        source = cell.twin if cell.side == "L" else cell.id
        widths, kept = carved[source].widths, carved[source].kept
        for number, width in enumerate(widths):
            suffix = "" if len(widths) == 1 else f".{ascii_uppercase[number]}"
            blank = Blank(cell.id + suffix, f"wall-{kept}-{number}", f"block-{source}", cell.side == "L")
            pieces.append(Piece(blank, cell.twin + suffix, cell.side, cell.seams, cell.sides, width, cell.panel))
    lost = [(cell.cell, place) for cell in carved.values() for place in cell.lost]
    return Pieces(pieces, lost, _notes(list(carved.values())))


def refuse_too_large(settings: Settings, cells: list[Cell], processes: int) -> None:
    """Raise BadInput where carving would take more memory than a build may, before any of it is asked for."""
    needs = sorted(
        ((memory_for(cell.block.bounds, settings.mesh.pitch), cell) for cell in cells), key=lambda one: -one[0]
    )
    together = _BESIDE + sum(need for need, _ in needs[:processes])
    if not needs or together <= _MEMORY:
        return
    cell = needs[0][1]
    low, high = cell.block.bounds
    size = " x ".join(f"{extent:.0f}" for extent in high - low)
    limit = (
        f"a lattice that {processes} processes carve within {_MEMORY / 1e9:g} GB of memory; {cell.id}, {size} mm, "
        f"brings it to {together / 1e9:.3g}"
    )
    remedy = "part it by seams, raise mesh.pitch, give fewer --processes, or see whether body.units is right"
    raise BadInput([Problem(PARAMETERS, "mesh.pitch", f"{settings.mesh.pitch:g}", limit, remedy)])


def depth_rule(settings: Settings, planes: tuple[Plane, ...]) -> DepthRule:
    """Return how deep the material reaches in a cell bounded by these seams."""
    flange, edge = settings.flange, settings.printer.two_beads
    return DepthRule(settings.wall.thickness, flange.height, flange.thickness, flange.back_angle, planes, edge)


def _notes(carved: list[CarvedCell]) -> list[str]:
    """Return what a builder should know of the pieces left out and the voids filled."""
    filled = sum(cell.filled for cell in carved)
    dust = sum(cell.dust_mm3 for cell in carved)
    notes = [_left_out(cell.cell, *one) for cell in carved for one in cell.skinless]
    if filled:
        notes.append(f"{filled} closed voids smaller than three lattice steps filled")
    if dust > 0:
        notes.append(f"{dust:.2f} mm3 of fragments under 1 mm3 each left out")
    return notes


def _left_out(cell: str, middle: Place, size: Place) -> str:
    extents = " x ".join(f"{length:.0f}" for length in size)
    at = ", ".join(f"{c:.0f}" for c in middle)
    return f"{cell}: a piece that shows no skin left out, {extents} mm at ({at})"
