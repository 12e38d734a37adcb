"""The door for meshes: closed and sound, or refused in words."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sections.errors import BadInput, Problem
from sections.numbers.mesh import Mesh, shell_numbers, weld, weld_exact
from sections.numbers.self_contact import Apart, taken_apart
from sections.numbers.words import place_words
from sections.solids.orienting import CLEAR_SIGHT, bulges, sight
from sections.solids.soundness import FOLDS_PER_DEVIATION, Flaw, crossings, edge_flaws, solid_flaws


def sound_mesh(mesh: Mesh, deviation: float, what: str) -> Mesh:
    """Return the mesh, mm, welded, when it bounds a solid. Raises BadInput with every flaw and where it is.

    Corners closer than a tenth of the deviation are made one; nothing else is moved or repaired. What only touches is
    taken apart. Folds shallower than a fifth of the deviation are let be.
    """
    return sound_skin(mesh, deviation, what).mesh


def sound_skin(mesh: Mesh, deviation: float, what: str) -> Apart:
    """Return what `sound_mesh` returns, and where, mm, it was taken apart. Raises BadInput."""
    apart = at_door(mesh, deviation)
    refuse(solid_flaws(apart.mesh, deviation / FOLDS_PER_DEVIATION), what)
    return apart


def sound_open_mesh(mesh: Mesh, deviation: float, outside: list[float] | None, what: str) -> Mesh:
    """Return the mesh, welded, when it is an open skin with one side that is plainly out. Raises BadInput.

    outside : (3,) a direction most of it looks toward, where the builder gives one.
    """
    return sound_open_skin(mesh, deviation, outside, what).apart.mesh


@dataclass(frozen=True)
class OpenSkin:
    """An open skin as it is judged. by : of each of its surfaces, how its outside is known: "outside" as given, "sight"
    for the side with more open space, "bulge" for the one it bulges toward and nearly all of it can be seen from."""

    apart: Apart
    by: tuple[str, ...]


def sound_open_skin(mesh: Mesh, deviation: float, outside: list[float] | None, what: str) -> OpenSkin:
    """Return what `sound_open_mesh` returns, mm, and how its outside is known. Raises BadInput."""
    apart = at_door(mesh, deviation)
    skin = apart.mesh
    flaws = edge_flaws(skin)
    if not any(flaw.code == "open" for flaw in flaws):
        limit = "an open skin; this one is closed, or has no faces"
        raise BadInput([Problem(what, "body.open", "true", limit, "set it to false")])
    refuse([flaw for flaw in flaws if flaw.code != "open"] + crossings(skin, deviation / FOLDS_PER_DEVIATION), what)
    number = shell_numbers(skin)
    seen = sight(skin, number)
    surfaces = range(len(seen))
    by = [_looks_out_by(skin.submesh(number == one), float(seen[one]), outside, what) for one in surfaces]
    return OpenSkin(apart, tuple(by))


def _looks_out_by(surface: Mesh, seen: float, outside: list[float] | None, what: str) -> str:
    """Return how it is known that a surface looks outward, as in OpenSkin; refuse one that looks inward, or of which
    that is not clear. seen : by `sight`."""
    place = place_words(surface.bounds.mean(0))
    if outside is not None:
        if surface.area_vectors.sum(0) @ np.asarray(outside) <= 0:
            limit = f"a skin that looks toward it; the surface at {place} looks away"
            remedy = "set repair.orient, or correct the direction"
            raise BadInput([Problem(what, "body.outside", str(outside), limit, remedy)])
        return "outside"
    by, out = ("sight", seen) if abs(seen) >= CLEAR_SIGHT else ("bulge", bulges(surface))
    if out == 0:
        limit = f"an outside that is plain to see; which side of the surface at {place} is out is not"
        raise BadInput([Problem(what, "body.outside", "", limit, "give a direction most of the skin looks toward")])
    if out < 0:
        why = "has more open space behind it" if by == "sight" else "bulges toward its back"
        limit = f"a skin that looks outward; the surface at {place} {why}"
        remedy = "set repair.orient, or give body.outside if it is right as it is"
        raise BadInput([Problem(what, "body.open", "true", limit, remedy)])
    return by


def at_door(mesh: Mesh, deviation: float) -> Apart:
    """Return the mesh, mm, as it is judged: welded, and taken apart where it only touches itself."""
    return taken_apart(welded_at_door(mesh, deviation))


def welded_at_door(mesh: Mesh, deviation: float) -> Mesh:
    """Return the mesh with equal corners made one; those within deviation / 10, mm, too, where that leaves fewer
    faults."""
    exact = weld_exact(mesh)
    faults = _count(exact)
    if not faults:
        return exact
    near = weld(mesh, deviation / 10)
    return near if _count(near) < faults else exact


def _count(mesh: Mesh) -> int:
    return sum(flaw.count for flaw in edge_flaws(mesh))


def refuse(flaws: list[Flaw], what: str) -> None:
    """Raise BadInput with every flaw there is; return when there is none."""
    if flaws:
        raise BadInput([_problem(flaw, what) for flaw in flaws])


def _problem(flaw: Flaw, what: str) -> Problem:
    return Problem(
        what,
        "body",
        "",
        f"a skin that is sound, and closed unless body.open; it has {flaw}",
        f"{flaw.remedy}; `sections inspect` shows where",
    )
