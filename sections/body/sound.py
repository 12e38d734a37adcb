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
    welded = weld_exact(mesh)
    if edge_flaws(welded):
        welded = weld(mesh, deviation / 10)
    refuse(solid_flaws(welded, deviation / FOLDS_PER_DEVIATION), what)
    return welded


def refuse(flaws: list[Flaw], what: str) -> None:
    """Raise BadInput with every flaw there is; return when there is none."""
    if flaws:
        raise BadInput([_problem(flaw, what) for flaw in flaws])


def _problem(flaw: Flaw, what: str) -> Problem:
    return Problem(what, "body", "", f"a closed, sound body; it has {flaw}", flaw.remedy)
