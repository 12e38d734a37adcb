"""From a mesh as it came to the skin of a body: scaled, set, mended, mirrored, every step told and measured."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import numpy as np

from sections.numbers.mesh import Mesh, weld_exact
from sections.scan.datum import Placed, check_distances, place_by
from sections.scan.half import CentreLine, whole_of_half
from sections.scan.mend import FIRST, THEN, Order, mend
from sections.scan.sound import sound_mesh, sound_open_mesh
from sections.scan.symmetric import SymmetricPlane, symmetric_planes
from sections.settings import Settings
from sections.settings.rules_body import axes_matrix
from sections.solids.soundness import FOLDS_PER_DEVIATION


@dataclass(frozen=True)
class Prepared:
    """A sound skin in the vehicle frame. given : the mesh as it came, in the vehicle frame. lines : what was done."""

    skin: Mesh
    given: Mesh
    lines: tuple[str, ...]


def prepare(mesh: Mesh, settings: Settings, path: Path) -> Prepared:
    """Return the skin that [[measured]], [datum], [mend], [half] and [body] make of a mesh, in mm and its own axes.

    Raises BadInput for what cannot be done within the limits, and for what is not sound afterwards.
    """
    lines = check_distances(settings.measured, settings.body.scale)
    given, placed = _placed(weld_exact(mesh), settings, lines)
    fold = settings.mesh.deviation / FOLDS_PER_DEVIATION
    order = Order(settings.mend, settings.body.outside, fold, str(path))
    skin, done = mend(given, order, FIRST)
    lines += [str(one) for one in done]
    if settings.half is not None:
        skin = _whole(skin, settings, str(path), lines)
    skin, done = mend(skin, order, THEN)
    lines += [str(one) for one in done]
    if settings.body.open:
        skin = sound_open_mesh(skin, settings.mesh.deviation, settings.body.outside, str(path))
    else:
        skin = sound_mesh(skin, settings.mesh.deviation, str(path))
    if not any(line.startswith(("mend", "half")) for line in lines):
        lines.append("skin: the mesh itself, not moved")
    return Prepared(skin, given, tuple(lines))


def _placed(mesh: Mesh, settings: Settings, lines: list[str]) -> tuple[Mesh, Placed | None]:
    """Return (the mesh in the vehicle frame, how the datum put it there)."""
    body, datum = settings.body, settings.datum
    turn = axes_matrix(body.axes)
    scaled = Mesh(mesh.vertices * body.scale, mesh.faces)
    if datum is None:
        return Mesh(scaled.vertices @ turn.T + body.shift, scaled.faces), None
    centre = _centre(scaled, turn) if datum.centre else None
    placed = place_by(datum, scaled, turn, centre, body.scale)
    if centre is not None:
        lines.append(
            f"datum: best plane of symmetry set to y = 0; mirrored in it, 95 % of the skin is within {centre.most:.2f} "
            f"mm of itself, all within {centre.furthest:.1f} mm"
        )
    told = ", ".join(f"{axis} of target {number} by {miss:+.3f}" for number, axis, miss in placed.misses)
    lines.append(f"datum: targets missed by at most {placed.most:.3f} mm ({told})")
    return placed.of(scaled), placed


def _centre(mesh: Mesh, turn: np.ndarray) -> SymmetricPlane:
    """Return the best plane of symmetry among those roughly square to the vehicle's y."""
    return max(symmetric_planes(mesh), key=lambda plane: abs(turn[1] @ plane.normal))


def _whole(skin: Mesh, settings: Settings, what: str, lines: list[str]) -> Mesh:
    half = settings.half
    made = whole_of_half(skin, half, settings.mend, what)
    lines.append(
        f"half.{half.side}: mirrored in y = 0; rim drawn at most {made.drawn:.3f} mm onto it; centre line "
        f"{made.after.length:.0f} mm long; {_told(made.before)} as it was"
    )
    if half.blend:
        lines.append(f"half.blend: {_told(made.after)} after it; skin moved by at most {made.moved:.3g} mm")
    return made.mesh


def _told(line: CentreLine) -> str:
    return f"it turns through {line.median:.2f} deg (median), {line.most:.1f} at most, at " + (
        "({:.1f}, {:.1f}, {:.1f})".format(*line.at)
    )
