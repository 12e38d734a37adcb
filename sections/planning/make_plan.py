"""From a body to its plan: cells carved, pieces named, pairs joined, sections laid on the bed."""

from __future__ import annotations

import difflib
from dataclasses import dataclass

from sections.body import Body
from sections.errors import PARAMETERS, BadInput, Problem
from sections.plan.assembly import assembly_steps
from sections.plan.bosses import Carrier, plan_bosses
from sections.plan.cells import Cell, Panel, divide_all
from sections.plan.gussets import GussetRoom, with_gussets
from sections.plan.model import PLAN_SCHEMA, Plan, PlannedSeam, PlannedSection, PlannedShortage, PlannedStep
from sections.plan.seams import Seam, resolve_seams
from sections.planning.blank import Blank
from sections.planning.joining import Joined, Parted, join_pieces
from sections.planning.laying import lay_pieces
from sections.planning.pieces import Piece, Pieces, carve_pieces
from sections.processes.pool import Pool
from sections.results.scratch import Scratch
from sections.settings import Settings
from sections.settings.joint_line import least_section
from sections.solids.distance import MeshDistance
from sections.solids.print_solid import PrintSolid
from sections.wall.kept_body import put_cutters, put_skin, skin_distance


@dataclass(frozen=True)
class Planned:
    """A plan, the bare sections it speaks of, and what was noticed on the way."""

    plan: Plan
    blanks: dict[str, Blank]
    notes: tuple[str, ...]


def make_plan(settings: Settings, body: Body, scratch: Scratch, pool: Pool, only: str | None = None) -> Planned:
    """Return the plan for a body; with `only`, of that section and its joints alone.

    Raises BadInput for seams, bosses or an `only` that do not fit the body.
    """
    seams = resolve_seams(settings)
    put_skin(scratch, body)
    put_cutters(scratch, body)
    pool.progress.start("cutting cells", 1)
    whole = PrintSolid.of(body.block, "body")
    cells = divide_all(whole, seams, panels_of(settings, body), symmetric=settings.body.symmetric)
    if only is not None:
        _refuse_unknown(only, cells, "(command line)", "--only")
    for name in settings.step.tessellated:
        _refuse_unknown(name, cells, PARAMETERS, "step.tessellated")
    # All, also where one section is asked for: where hands reach, and so its joints, depends on what is about it.
    carved = carve_pieces(settings, cells, scratch, pool)
    pieces = carved.bare
    carriers = _carriers(settings, pieces, scratch)
    skin = skin_distance(scratch.folder)
    cut = {opening.id: MeshDistance(opening.mesh) for opening in body.openings} if carriers else {}
    bosses = plan_bosses(settings, carriers, skin, cut)
    joined = join_pieces(settings, Parted(seams, pieces, bosses, only), scratch, pool)
    wanted = [piece for piece in pieces if only is None or piece.id == only]
    laid = lay_pieces(settings, wanted, joined, bosses, scratch, pool)
    planes = {seam.id: seam.plane for seam in seams}
    wall = settings.wall.thickness
    beside = GussetRoom(planes, tuple(joined.joints), settings.flange.thickness, skin, wall)
    bosses = with_gussets(bosses, laid, beside)
    pairs = [pair for pair in joined.pairs if only is None or only in (pair.minus, pair.plus)]
    kept = {pair.id for pair in pairs}
    plan = Plan(
        PLAN_SCHEMA,
        settings.name,
        tuple(PlannedSeam(s.id, s.given, s.plane, s.within, s.bolted) for s in seams),
        tuple(laid),
        tuple(pairs),
        tuple(joint for joint in joined.joints if joint.pair in kept),
        tuple(boss for boss in bosses if only is None or boss.section == only),
        tuple([s for s in joined.shortages if s.where in kept or s.kind == "joint"] + _short(settings, carved, laid)),
        _assembly(seams, pieces, joined) if only is None else (),
    )
    return Planned(plan, {piece.id: piece.blank for piece in pieces}, tuple(carved.notes))


def _short(settings: Settings, carved: Pieces, laid: list[PlannedSection]) -> list[PlannedShortage]:
    """Return what sections lack: a label, width, wall of theirs that was left out."""
    no_mark = "no plain piece of inner face or of a seam face is large enough"
    short = [PlannedShortage("label", section.id, no_mark) for section in laid if section.label is None]
    least, width = least_section(settings), {piece.id: piece.width for piece in carved.bare}
    for section in laid:
        if width[section.id] < least:
            slim = (
                f"its skin is {width[section.id]:.0f} mm wide; less than {least:g} leaves no room between the flanges"
            )
            short.append(PlannedShortage("width", section.id, slim))
    cut_off = "a piece of its wall, cut off from its skin, is left out: the seam runs nearly along the skin here"
    return short + [PlannedShortage("wall", cell, cut_off, place) for cell, place in carved.lost]


def panel_seams(settings: Settings) -> dict[str, tuple[str, ...] | None]:
    """Return for every panel that opens, by its opening's id, the seams that cut it; None where all do."""
    panels = {one.id: one.panel for one in settings.openings if one.panel is not None}
    return {name: None if one.seams is None else tuple(one.seams) for name, one in panels.items()}


def panels_of(settings: Settings, body: Body) -> list[Panel]:
    """Return the panels that open of a body, in triangles."""
    return [Panel(name, cut, _printed(body, name)) for name, cut in panel_seams(settings).items()]


def _printed(body: Body, name: str) -> list[PrintSolid]:
    return [PrintSolid.of(one.panel.mesh, name) for one in body.openings if one.given == name]


def _assembly(seams: tuple[Seam, ...], pieces: list[Piece], joined: Joined) -> tuple[PlannedStep, ...]:
    """Return the steps that put the body together, then those of each panel."""
    steps = []
    for panel in sorted({piece.panel for piece in pieces}):
        sides = {piece.id: dict(piece.sides) for piece in pieces if piece.panel == panel}
        steps += assembly_steps(seams, sides, joined.meeting)
    return tuple(steps)


def _refuse_unknown(name: str, cells: tuple[Cell, ...], file: str, key: str) -> None:
    """Refuse a section's id, given in a file under a key, that belongs to no cell."""
    ids = [cell.id for cell in cells]
    if name.partition(".")[0] in ids:
        return
    near = difflib.get_close_matches(name, ids, 3, 0.5)
    meant = f"; did you mean {' or '.join(near)}?" if near else f"; the first ones are {', '.join(ids[:5])}"
    raise BadInput([Problem(file, key, name, f"the id of a section{meant}", "correct the id")])


def _carriers(settings: Settings, pieces: list[Piece], scratch: Scratch) -> list[Carrier]:
    """Return the sections that may carry a boss; none are read when no boss is asked for."""
    if not (settings.bosses or settings.hardpoints):
        return []
    return [Carrier(piece.id, MeshDistance(piece.blank.load_wall(scratch)), piece.planes) for piece in pieces]
