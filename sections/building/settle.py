"""Bringing a part onto the bed in the numbers a printer's file can hold.

Making corners one over 0.0005 mm, as a print file needs, folded a dent of 0.4 mm by 0.3 mm; over 0.002 mm it did not.
The first distance that folds nothing is taken. A part may touch itself along an edge, to the last digit; in 32-bit
numbers, turned as it lies on the bed, that edge has four faces. It is parted by a nick of 0.05 mm where merging
corners does not help, or by wider ones: a wrapped body ran out in a film 0.01 mm thick that met itself again beside
each narrow nick.
"""

from __future__ import annotations

import numpy as np

from sections.errors import BuildFailed
from sections.numbers.frame import Frame
from sections.numbers.halve import number_edges
from sections.numbers.mesh import Growth, Mesh, in_order, weld_exact
from sections.solids.crossing import crossing_faces
from sections.solids.print_solid import PrintSolid
from sections.solids.soundness import Flaw, edge_flaws

# mm; corners closer than this are made one so that none falls on another in 32-bit floats (their spacing at
# 300 mm is 3e-5 mm). Tried in order until the file reads back without a flaw.
_MERGE = (5e-4, 2e-3, 5e-3)
# mm; faces that pass through one another by more than this are a fold.
_FOLD = 0.01
# Of a millimetre.
_DIGITS = 6
# mm; where a part touches itself along an edge all the same, so wide a nick parts it: tried in order.
_NICKS = (0.05, 0.2, 0.5)


def settle(solid: PrintSolid, pose: Frame, growth: Growth, what: str) -> Mesh:
    """Return the part as its print file holds it, every coordinate a 32-bit float, closed when read back.

    pose : the bed's frame in the vehicle frame. growth : by what the file is larger than the part. Raises BuildFailed
    when no merging distance gives a clean mesh.
    """
    local = pose.unplace(solid.mesh()).stretched(growth)
    mesh, flaws = _merged(local, what)
    for wide in _NICKS:
        if not flaws:
            break
        local = _nicked(local, mesh, wide, what)
        mesh, flaws = _merged(local, what)
    if flaws:
        raise BuildFailed(f"{what}: not clean in 32-bit coordinates: {flaws[0]}")
    return in_order(mesh)


def _merged(local: Mesh, what: str) -> tuple[Mesh, list[Flaw]]:
    """Return (a mesh in 32-bit coordinates, corners made one over the least distance that leaves no flaw, or the
    largest; the flaws it has even so). Of those without a flaw the first without a fold is taken: making
    corners one over less than a hundredth of a millimetre can fold small faces."""
    folded = None
    for merge in _MERGE:
        mesh = _rounded(weld_exact(PrintSolid.of(_rounded(local), what).simplified(merge).mesh()))
        welded = weld_exact(mesh)
        flaws = edge_flaws(welded)
        if not flaws and not len(crossing_faces(welded, _FOLD)):
            return mesh, []
        if not flaws and folded is None:
            folded = mesh
    return (welded, flaws) if folded is None else (folded, [])


def _rounded(mesh: Mesh) -> Mesh:
    """Return a mesh in 32-bit coordinates; near 0, where those are finer, no two that a reader may take for one."""
    return Mesh(np.round(mesh.vertices, _DIGITS).astype(np.float32).astype(np.float64), mesh.faces)


def _nicked(local: Mesh, flawed: Mesh, wide: float, what: str) -> Mesh:
    """Return a mesh with a nick, so wide in mm, along every edge of its flawed form that more than two faces share."""
    edges = number_edges(flawed.faces, len(flawed.vertices))
    half = wide / 2 * np.array([(x, y, z) for x in (-1, 1) for y in (-1, 1) for z in (-1, 1)])
    nicks = [
        PrintSolid.hull((flawed.vertices[edge][:, None] + half).reshape(-1, 3)) for edge in edges.ends[edges.uses > 2]
    ]
    return PrintSolid.of(local, what).cut(nicks).mesh()
