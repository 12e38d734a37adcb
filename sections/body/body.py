"""What the later rooms get of the body."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from sections.numbers.mesh import Mesh
from sections.solids.as_given import AsGiven
from sections.solids.distance import Doubt

if TYPE_CHECKING:
    from sections.solids.exact_solid import ExactSolid
    from sections.solids.tessellate import Tessellation


@dataclass(frozen=True)
class Cut:
    """A solid as triangles and with its own faces; None when it came as a mesh."""

    mesh: Mesh
    exact: ExactSolid | None = None

    def mirrored_y(self) -> Cut:
        """Return the mirror image in y = 0."""
        return Cut(self.mesh.mirrored_y(), None if self.exact is None else self.exact.mirrored_y())


@dataclass(frozen=True)
class Edge:
    """What is made along the edge of an opening: within `around`, material to `depth` mm below the skin.

    floor : mm; of a rebate: only so deep is all the opening cut away, deeper only `hole`.
    """

    depth: float
    around: Cut
    floor: float | None = None
    hole: Cut | None = None

    def mirrored_y(self) -> Edge:
        """Return the mirror image in y = 0."""
        return Edge(self.depth, self.around.mirrored_y(), self.floor, self.hole and self.hole.mirrored_y())


@dataclass(frozen=True)
class OpeningSolid:
    """A solid of the parameter file, as one cut through wall and skin. given : its id there, that of its mirror image
    too. exact : the same with its own faces, None when it came as a mesh. edge : what is made along it. panel : the
    whole opening, where a panel is left in it and only the gap around that is cut."""

    id: str
    given: str
    mesh: Mesh
    exact: ExactSolid | None = None
    edge: Edge | None = None
    panel: Cut | None = None

    def mirrored_y(self, name: str) -> OpeningSolid:
        """Return the mirror image in y = 0, under a name of its own."""
        both = Cut(self.mesh, self.exact).mirrored_y()
        edge, panel = self.edge and self.edge.mirrored_y(), self.panel and self.panel.mirrored_y()
        return OpeningSolid(name, self.given, both.mesh, both.exact, edge, panel)


@dataclass(frozen=True)
class ExactSkin:
    """The source's own closed solids in the vehicle frame, and each as triangles."""

    solids: tuple[ExactSolid, ...]
    tessellations: tuple[Tessellation, ...]


@dataclass(frozen=True)
class Body:
    """The full outer form in the vehicle frame, mm.

    skin : outward triangles, closed unless the body is an open skin. block : what sections are cut from: the skin, or
    what lies behind an open one. border : the block's faces at the rim of an open skin. openings : what is cut through.
    exact_points : (n, 3) points on the source's own surfaces, evenly spread, to measure the skin against.
    doubt : where the skin itself does not tell inside from outside. given : places on the body as it came, before any
    repair; None where it was taken as it came.
    notes : what was measured and decided on the way in, a line each. exact : the source's own faces, None when it is
    a mesh.
    """

    skin: Mesh
    block: Mesh
    border: Mesh | None
    doubt: Doubt
    openings: tuple[OpeningSolid, ...]
    exact_points: np.ndarray
    notes: tuple[str, ...]
    exact: ExactSkin | None = None
    given: AsGiven | None = None
