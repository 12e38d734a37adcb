"""Bringing a part onto the bed in the numbers a printer's file can hold."""

from __future__ import annotations

import numpy as np

from sections.errors import BuildFailed
from sections.numbers.frame import Frame
from sections.numbers.mesh import Growth, Mesh, in_order, weld_exact
from sections.solids.print_solid import PrintSolid
from sections.solids.soundness import edge_flaws

# mm; corners closer than this are made one so that none falls on another in 32-bit floats (their spacing at
# 300 mm is 3e-5 mm). Tried in order until the file reads back without a flaw.
_MERGE = (5e-4, 2e-3, 5e-3)


def settle(solid: PrintSolid, pose: Frame, growth: Growth, what: str) -> Mesh:
    """Return the part as its print file holds it, every coordinate a 32-bit float, closed when read back.

    pose : the bed's frame in the vehicle frame. growth : by what the file is larger than the part. Raises BuildFailed
    when no merging distance gives a clean mesh.
    """
    local = pose.unplace(solid.mesh()).stretched(growth)
    flaws: list = []
    for merge in _MERGE:
        rounded = Mesh(local.vertices.astype(np.float32).astype(np.float64), local.faces)
        mesh = weld_exact(PrintSolid.of(rounded, what).simplified(merge).mesh())
        mesh = Mesh(mesh.vertices.astype(np.float32).astype(np.float64), mesh.faces)
        flaws = edge_flaws(weld_exact(mesh))
        if not flaws:
            return in_order(mesh)
    raise BuildFailed(f"{what}: not clean in 32-bit coordinates: {flaws[0]}")
