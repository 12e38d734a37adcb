"""What a test print is, and the blocks and sunk marks all are made of."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from sections.features.letters import text_outline, text_width
from sections.solids.planar import as_multipolygon

if TYPE_CHECKING:
    import cadquery as cq

# mm; depth of a mark sunk into a coupon: three layers of 0.2 mm.
MARK_DEPTH = 0.6


@dataclass(frozen=True)
class Hole:
    """A hole in a coupon's top face, for the checks. centre : x, y. across : width of its narrowest gauge, mm."""

    name: str
    centre: tuple[float, float]
    across: float


@dataclass(frozen=True)
class Coupon:
    """One test print. solid : as printed, its top face at z = top, mm. use : what the builder does with it."""

    id: str
    solid: cq.Solid
    top: float
    holes: tuple[Hole, ...]
    use: str


def block(length: float, width: float, height: float) -> cq.Solid:
    """Return a block from the origin along x, centred on y = 0, its top at z = 0, mm."""
    import cadquery as cq

    return cq.Solid.makeBox(length, width, height, cq.Vector(0, -width / 2, -height))


def sunk_text(text: str, middle: tuple[float, float], height: float, stroke: float) -> list[cq.Solid]:
    """Return what is cut away to sink a line of text, centred at `middle`, into a top face at z = 0."""
    import cadquery as cq

    left = middle[0] - text_width(text, height, stroke) / 2
    low = middle[1] - height / 2
    solids = []
    for part in as_multipolygon(text_outline(text, height, stroke)).geoms:
        rings = [part.exterior, *part.interiors]
        wires = [
            cq.Wire.makePolygon(
                [cq.Vector(left + x, low + y, -MARK_DEPTH) for x, y in list(ring.coords)[:-1]], close=True
            )
            for ring in rings
        ]
        face = cq.Face.makeFromWires(wires[0], wires[1:])
        solids.append(cq.Solid.extrudeLinear(face, cq.Vector(0, 0, 2 * MARK_DEPTH)))
    return solids


def less(solid: cq.Solid, cutters: list) -> cq.Solid:
    """Return a solid less others. Raises ValueError when it does not stay one valid solid of less volume."""
    made = solid.cut(*cutters)
    solids = made.Solids()
    if len(solids) != 1 or not solids[0].isValid() or not 0 < solids[0].Volume() < solid.Volume():
        raise ValueError(f"{len(solids)} solids where one was expected")
    return solids[0]


def moved(solid: cq.Solid, x: float, y: float = 0.0, z: float = 0.0) -> cq.Solid:
    """Return a solid shifted, mm."""
    import cadquery as cq

    return solid.moved(cq.Location(cq.Vector(x, y, z)))
