"""From a mesh as it came to the skin of a body: scaled, set, repaired, mirrored, every step reported and measured."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from sections.errors import BadInput
from sections.numbers.mesh import Mesh, join, weld_exact
from sections.numbers.self_contact import Apart
from sections.numbers.words import place_words
from sections.scan.datum import check_distances, place_by
from sections.scan.half import CentreLine, MadeWhole, on_the_right, whole_of_half
from sections.scan.mirror import RIGHT_HALF, mirrored_whole
from sections.scan.repair import FIRST, THEN, Repaired, RepairOrder, repair
from sections.scan.sound_mesh import sound_open_skin, sound_skin
from sections.scan.symmetric import SymmetricPlane, symmetric_planes
from sections.settings import Settings
from sections.settings.problems import dotted
from sections.settings.rules_body import axes_matrix
from sections.solids.soundness import FOLDS_PER_DEVIATION
from sections.solids.trimming import trimmed

# mm; less than this is rounding.
_NOT_MOVED = 1e-6
# Coordinates that hold a body, and so are met exactly; the worst ones reported of more.
_HELD_BY, _SHOWN = 6, 3
_BY = {
    "outside": "outside: the side body.outside points to",
    "sight": "outside: the side with more open space",
    "bulge": "outside: the side it bulges toward, from which nearly all of it can be seen at once; if it is the other, "
    "give body.outside",
}


@dataclass(frozen=True)
class Prepared:
    """A sound skin in the vehicle frame. given : the mesh as it came, set in the vehicle frame; of a half, with its
    mirror image. spent : mm, no place of the skin was moved further. lines : what was done. unwanted : what was taken
    out of it that the body is not to have, None without."""

    skin: Mesh
    given: Mesh
    spent: float
    lines: tuple[str, ...]
    unwanted: Mesh | None = None


def prepare(mesh: Mesh, settings: Settings, path: Path) -> Prepared:
    """Return the skin that [[measured]], [datum], [repair], [half] and [body] make of a mesh, in mm and its own axes.

    Raises BadInput for what cannot be done within the limits, and for what is not sound afterwards.
    """
    lines = check_distances(settings.measured, settings.body.scale)
    given = _placed(weld_exact(mesh), settings, lines)
    fold = settings.mesh.deviation / FOLDS_PER_DEVIATION
    order = RepairOrder(settings.repair, settings.body.outside, fold, str(path), settings.half)
    try:
        return _prepared(given, settings, order, lines)
    except BadInput as refused:
        # What was done by then, and what each step left.
        done = tuple(line for line in lines if line.startswith(("repair.", "half.")))
        raise BadInput([replace(problem, done=done) for problem in refused.problems]) from None


def _prepared(given: Mesh, settings: Settings, order: RepairOrder, lines: list[str]) -> Prepared:
    """Repair, mirror and judge a mesh that is set in the vehicle frame; `lines` grow with what is done."""
    made = repair(given, order, FIRST, say=lines.append)
    skin, spent, unwanted = made.mesh, made.spent, made.unwanted
    if settings.half is not None:
        whole = _whole(made, settings, order.what, lines)
        skin, spent = whole.mesh, spent + whole.moved
        given = mirrored_whole(trimmed(on_the_right(given, settings.half), RIGHT_HALF))
        unwanted = unwanted and join([unwanted, unwanted.mirrored_y()])
    made = repair(skin, order, THEN, spent, lines.append)
    deviation, what = settings.mesh.deviation, order.what
    if settings.body.open:
        open_skin = sound_open_skin(made.mesh, deviation, settings.body.outside, what)
        apart = open_skin.apart
        lines += [_BY[by] for by in sorted(set(open_skin.by))]
    else:
        apart = sound_skin(made.mesh, deviation, what)
    lines += _touched(apart)
    moved = f"moved by at most {made.spent:.3g} mm in all" if made.spent > _NOT_MOVED else "the mesh itself, not moved"
    return Prepared(apart.mesh, given, made.spent, (*lines, f"skin: {moved}"), unwanted)


def _touched(apart: Apart) -> list[str]:
    """Say where a skin only touched itself, a line each kind."""
    said = []
    for places, kind in ((apart.edges, "edges of four or more faces"), (apart.corners, "corners that parts met in")):
        if len(places):
            shown = "; ".join(place_words(place) for place in places[:_SHOWN])
            said.append(f"{len(places)} {kind} taken apart, nothing moved: at {shown}{' ...' * (len(places) > _SHOWN)}")
    return said


def _placed(mesh: Mesh, settings: Settings, lines: list[str]) -> Mesh:
    """Return the mesh in the vehicle frame; of a datum, say how well it holds."""
    body, datum = settings.body, settings.datum
    turn = axes_matrix(body.axes)
    scaled = Mesh(mesh.vertices * body.scale, mesh.faces)
    if datum is None:
        return Mesh(scaled.vertices @ turn.T + body.shift, scaled.faces)
    centre = _centre(scaled, turn) if datum.centre else None
    placed = place_by(datum, scaled, turn, centre, body.scale)
    if centre is not None:
        lines.append(f"datum: y = 0 is the {centre}")
    lines.append(f"datum: {len(placed.misses)} known coordinates, missed by at most {placed.most:.3f} mm")
    if len(placed.misses) > _HELD_BY:
        worst = sorted(placed.misses, key=lambda one: -abs(one[2]))[:_SHOWN]
        missed = ", ".join(f"{axis} of {dotted(('targets', number))} by {miss:+.3f}" for number, axis, miss in worst)
        lines.append(f"datum: missed most: {missed} mm")
    return placed.of(scaled)


def _centre(mesh: Mesh, turn: np.ndarray) -> SymmetricPlane:
    """Return the best plane of symmetry among those roughly square to the vehicle's y."""
    return max(symmetric_planes(mesh), key=lambda plane: abs(turn[1] @ plane.normal))


def _whole(made: Repaired, settings: Settings, what: str, lines: list[str]) -> MadeWhole:
    half, repair = settings.half, settings.repair
    most = max(0.0, repair.limit - made.spent - repair.smooth - repair.simplify)
    made = whole_of_half(made.mesh, half, repair.crease, most, what)
    lines.append(
        f"half.{half.side}: mirrored in y = 0; rim drawn at most {made.drawn:.3f} mm onto it; centre line "
        f"{made.after.length:.0f} mm long; {_told(made.before)} as it was"
    )
    if half.blend:
        lines.append(f"half.blend: {_told(made.after)} after it; skin moved by at most {made.moved:.3g} mm")
    return made


def _told(line: CentreLine) -> str:
    return f"it turns through {line.median:.2f} deg (median), {line.most:.1f} at most, at {place_words(line.at)}"
