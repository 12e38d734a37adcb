"""How openings are edged: return flanges, rebates for glass, panels that open.

A collar around an opening is taken from the hollow, never added to the wall: no face of it lies on skin, which is
what OCC's Boolean operations fail at. A panel's gap is cut as one solid, the opening less the opening moved in, whose
ends move in too.
"""

from __future__ import annotations

from dataclasses import replace

from sections.body.body import Cut, Edge, OpeningSolid
from sections.errors import BadInput, BuildFailed, Problem
from sections.settings.openings import Glass, Opening
from sections.solids.exact_solid import ExactSolid
from sections.solids.tessellate import tessellate


def edged(opening: Opening, solid: OpeningSolid, deviation: float, key: str) -> OpeningSolid:
    """Return an opening with what is left or made along its edge.

    What is cut through is the opening, or where a panel opens the gap around that. key : in the parameter file. Raises
    BadInput when the opening's faces cannot be moved as asked.
    """
    if opening.rim is None and opening.glass is None and opening.panel is None:
        return solid
    moved = _Moved(solid.exact, deviation, opening.id, key)
    if opening.glass is not None:
        return replace(solid, edge=_rebate(opening.glass, moved))
    if opening.panel is None:
        return replace(solid, edge=Edge(opening.rim.height, moved.by(opening.rim.thickness, "rim.thickness")))
    panel = moved.by(-opening.panel.gap, "panel.gap")
    gap = moved.cut(solid.exact.cut([panel.exact]))
    edge = None
    if opening.rim is not None:
        out = moved.by(opening.rim.thickness, "rim.thickness")
        inner = moved.by(-opening.panel.gap - opening.rim.thickness, "rim.thickness")
        edge = Edge(opening.rim.height, moved.cut(out.exact.cut([inner.exact])))
    return replace(solid, mesh=gap.mesh, exact=gap.exact, edge=edge, panel=Cut(solid.mesh, solid.exact))


def _rebate(glass: Glass, moved: _Moved) -> Edge:
    floor = glass.thickness + glass.bead
    return Edge(
        floor + glass.flange, moved.by(glass.flange, "glass.flange"), floor, moved.by(-glass.width, "glass.width")
    )


class _Moved:
    """An opening's solid with its faces moved, in both forms."""

    def __init__(self, solid: ExactSolid, deviation: float, name: str, key: str):
        self._solid, self._deviation, self._name, self._key = solid, deviation, name, key

    def by(self, distance: float, field: str) -> Cut:
        from sections.solids.growing import grown

        try:
            return self.cut(grown(self._solid, distance, self._name))
        except BuildFailed as error:
            limit = f"a solid whose faces can be moved by {distance:g} mm ({error})"
            remedy = "round its corners by more, or make it a profile or a STEP file of plain faces"
            raise BadInput(
                [Problem(self._name, f"{self._key}.{field}", f"{abs(distance):g}", limit, remedy)]
            ) from error

    def cut(self, solid: ExactSolid) -> Cut:
        mesh = tessellate(solid.shape, self._deviation, self._name).mesh
        return Cut(mesh, solid)
