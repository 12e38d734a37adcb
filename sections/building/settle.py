"""Bringing a part onto the bed in the numbers a printer's file can hold.

Making corners one over 0.0005 mm, as a print file needs, folded a dent of 0.4 mm by 0.3 mm; over 0.002 mm it did not.
The first distance that folds nothing is taken. A part may touch itself along an edge, to the last digit; in 32-bit
numbers, turned as it lies on the bed, that edge has four faces. It is parted by a nick of 0.05 mm where merging
corners does not help, or by wider ones: a wrapped body ran out in a film 0.01 mm thick that met itself again beside
each narrow nick.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sections.errors import BuildFailed
from sections.numbers.frame import Frame
from sections.numbers.halve import number_edges
from sections.numbers.mesh import Growth, Mesh, in_file_numbers, in_order, shell_count, weld_exact, without_fragments
from sections.solids.crossing import crossing_faces
from sections.solids.print_solid import PrintSolid
from sections.solids.simplifying import nicked
from sections.solids.soundness import Flaw, edge_flaws
from sections.wall.carve import DUST

# mm; corners closer than this are made one so that none falls on another in 32-bit floats (their spacing at
# 300 mm is 3e-5 mm). Tried in order until the file reads back without a flaw.
_MERGE = (5e-4, 2e-3, 5e-3)
# mm; faces that pass through one another by more than this are a fold.
_FOLD = 0.01
# mm; where a part touches itself along an edge all the same, so wide a nick parts it: tried in order.
_NICKS = (0.05, 0.2, 0.5)
# mm; where making corners one does not help, a fold is cut out of the part, so wide: tried in order; and mm3 that may
# be lost with all of them, or with each. Folds of 0.06 mm in four sections of a boat of sheets: 0.03 to 2 mm3; 37 faces
# in a section of a wrapped body of 349,000: 18 mm3, and five crumbs.
_FOLD_NICKS, _LOST, _LOST_EACH = (0.02, 0.05, 0.1, 0.2), 10.0, 1.0


@dataclass(frozen=True)
class _Merged:
    """A mesh in 32-bit coordinates, the flaws it has even so, and its faces that are folds."""

    mesh: Mesh
    flaws: list[Flaw]
    folds: np.ndarray


def settle(solid: PrintSolid, pose: Frame, growth: Growth, what: str) -> Mesh:
    """Return the part as its print file holds it, every coordinate a 32-bit float, closed when read back.

    pose : the bed's frame in the vehicle frame. growth : by what the file is larger than the part. Raises BuildFailed
    when no merging distance gives a clean mesh.
    """
    local = pose.unplace(solid.mesh()).stretched(growth)
    made = _merged(local, what)
    for wide in _NICKS:
        if not made.flaws:
            break
        edges = number_edges(made.mesh.faces, len(made.mesh.vertices))
        local = nicked(local, made.mesh.vertices[edges.ends[edges.uses > 2]], wide, what)
        made = _merged(local, what)
    if made.flaws:
        raise BuildFailed(f"{what}: not clean in 32-bit coordinates: {made.flaws[0]}")
    return in_order(without_fragments(_without_folds(local, made, what), DUST))


def _without_folds(local: Mesh, made: _Merged, what: str) -> Mesh:
    """Return a mesh whose folds are cut out of it where hardly anything is lost and nothing comes off; else as it is,
    for the check of solids to refuse. local : what it was merged from."""
    if not len(made.folds):
        return made.mesh
    shells, volume = shell_count(without_fragments(made.mesh, DUST)), made.mesh.volume_mm3
    most = max(_LOST, _LOST_EACH * len(made.folds))
    for wide in _FOLD_NICKS:
        tried = _merged(nicked(local, made.mesh.triangles[made.folds], wide, what), what)
        lost = volume - tried.mesh.volume_mm3
        # Crumbs go with the fragments that every part is freed of.
        whole = shell_count(without_fragments(tried.mesh, DUST)) == shells
        if not tried.flaws and not len(tried.folds) and whole and lost < most:
            return tried.mesh
    return made.mesh


def _merged(local: Mesh, what: str) -> _Merged:
    """Return a mesh in 32-bit coordinates, corners made one over the least distance that leaves no flaw, or the
    largest. Of those without a flaw the first without a fold is taken: making corners one over less than a hundredth
    of a millimetre can fold small faces."""
    best = None
    for merge in _MERGE:
        plain = PrintSolid.of(in_file_numbers(local), what).simplified(merge).mesh()
        welded = weld_exact(in_file_numbers(weld_exact(plain)))
        flaws = edge_flaws(welded)
        tried = _Merged(welded, flaws, np.empty(0, np.int64) if flaws else crossing_faces(welded, _FOLD))
        if not tried.flaws and not len(tried.folds):
            return tried
        if best is None or best.flaws:
            best = tried
    return best
