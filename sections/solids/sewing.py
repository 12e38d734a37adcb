"""Loose faces and open shells joined along edges that lie close together, by OCC."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from OCP.BRep import BRep_Tool
from OCP.BRepBuilderAPI import BRepBuilderAPI_Sewing
from OCP.TopAbs import TopAbs_FACE, TopAbs_SHELL, TopAbs_SOLID
from OCP.TopoDS import TopoDS, TopoDS_Shape

from sections.solids.brep_parts import curve_points, explore
from sections.solids.step_parts import compound_of


@dataclass(frozen=True)
class Sewn:
    """A shape whose faces were joined. joined : edges that two faces share now. left : (k, 3) mm, middles of those that
    one face alone has."""

    shape: TopoDS_Shape
    joined: int
    left: np.ndarray


@dataclass(frozen=True)
class Boundaries:
    """What bounds a shape: its solids, shells in none of them, faces in neither."""

    solids: list[TopoDS_Shape]
    closed: list[TopoDS_Shape]
    open: list[TopoDS_Shape]
    loose: list[TopoDS_Shape]

    @staticmethod
    def of(shape: TopoDS_Shape) -> Boundaries:
        """Take a shape apart."""
        shells = [TopoDS.Shell_s(shell) for shell in explore(shape, TopAbs_SHELL, TopAbs_SOLID)]
        return Boundaries(
            explore(shape, TopAbs_SOLID),
            [shell for shell in shells if BRep_Tool.IsClosed_s(shell)],
            [shell for shell in shells if not BRep_Tool.IsClosed_s(shell)],
            explore(shape, TopAbs_FACE, TopAbs_SHELL),
        )

    @property
    def are_closed(self) -> bool:
        """Whether there is something, and nothing of it is open."""
        return bool(self.solids or self.closed) and not self.open and not self.loose

    def __str__(self) -> str:
        counts = ((self.solids, "solid"), (self.closed, "closed shell"), (self.open, "open shell"))
        said = [f"{len(some)} {name}{'s' * (len(some) != 1)}" for some, name in counts if some]
        said += [f"{len(self.loose)} face{'s' * (len(self.loose) != 1)} in no shell"] if self.loose else []
        return ", ".join(said) or "no faces"


def sewn(shape: TopoDS_Shape, tolerance: float) -> Sewn:
    """Return the shape with its open shells and loose faces joined where their edges are within `tolerance` mm.

    Solids and closed shells stay as they are. What is joined moves by no more than the tolerance; the caller measures
    it.
    """
    found = Boundaries.of(shape)
    if not found.open and not found.loose:
        return Sewn(shape, 0, np.empty((0, 3)))
    sewing = BRepBuilderAPI_Sewing(tolerance)
    for one in (*found.open, *found.loose):
        sewing.Add(one)
    sewing.Perform()
    free = [TopoDS.Edge_s(sewing.FreeEdge(number)) for number in range(1, sewing.NbFreeEdges() + 1)]
    free = [edge for edge in free if not BRep_Tool.Degenerated_s(edge)]
    left = np.array([curve_points(edge, 3)[1] for edge in free]).reshape(-1, 3)
    whole = compound_of([*found.solids, *found.closed, sewing.SewedShape()])
    return Sewn(whole, sewing.NbContigousEdges(), left)
