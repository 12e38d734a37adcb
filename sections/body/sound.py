"""The door for meshes: closed and sound, or refused in words."""

from __future__ import annotations

from sections.errors import BadInput, Problem
from sections.numbers.mesh import Mesh, weld, weld_exact
from sections.solids.soundness import FOLDS_PER_DEVIATION, Flaw, edge_flaws, solid_flaws


def sound_mesh(mesh: Mesh, deviation: float, what: str) -> Mesh:
    """Return the mesh, welded, when it bounds a solid. Raises BadInput with every flaw and where it is.

    Corners closer than a tenth of the deviation are made one; nothing else is moved or mended. Folds shallower
    than a fifth of the deviation are let be.
    """
    welded = welded_at_door(mesh, deviation)
    refuse(solid_flaws(welded, deviation / FOLDS_PER_DEVIATION), what)
    return welded


def welded_at_door(mesh: Mesh, deviation: float) -> Mesh:
    """Return the mesh with equal corners made one; those within deviation / 10 too, where that leaves fewer faults."""
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
    return Problem(what, "body", "", f"a closed, sound body; it has {flaw}", flaw.remedy)
