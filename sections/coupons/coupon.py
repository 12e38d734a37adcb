"""What a test print is, what is read off it, and the blocks and sunk marks all are made of."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from sections.features.letters import text_outline, text_width
from sections.settings import Settings
from sections.solids.planar import as_multipolygon

if TYPE_CHECKING:
    import cadquery as cq

# mm; depth of a mark sunk into a coupon: three layers of 0.2 mm.
MARK_DEPTH = 0.6

SizeKind = Literal["x", "y", "height", "hole", "thickness", "foot"]
LadderKind = Literal["key", "dowel", "slot", "bolt", "insert"]
Place = tuple[float, float, float]


@dataclass(frozen=True)
class CouponHole:
    """A hole in a coupon's top face, for the checks. centre : x, y. across : width of its narrowest gauge, mm."""

    name: str
    centre: tuple[float, float]
    across: float


@dataclass(frozen=True)
class Size:
    """What callipers measure. kind : along which of the bed's directions, or a hole, or a thickness. start, end : the
    places it lies between, in the coupon's frame; its axes are the bed's. asked : as drawn, mm."""

    id: str
    kind: SizeKind
    start: Place
    end: Place

    @property
    def asked(self) -> float:
        """The distance between its two places, mm."""
        return sum((a - b) ** 2 for a, b in zip(self.start, self.end, strict=True)) ** 0.5


@dataclass(frozen=True)
class Ladder:
    """Rungs to try a piece in. kind : of what fit. piece : what is tried. bought : mm, its width
    where it is no print, else 0. marks : as they stand beside the rungs.
    fits : mm per side, rising."""

    id: str
    kind: LadderKind
    piece: str
    bought: float
    marks: tuple[str, ...]
    fits: tuple[float, ...]


@dataclass(frozen=True)
class Trial:
    """Things to try from easy to hard, of which the last good one counts. values : what they are marked with."""

    id: str
    asks: str
    values: tuple[float, ...]


@dataclass(frozen=True)
class Coupon:
    """One test print. solid : as printed, the bed's axes its own, its top face at z = top, mm. use : what the builder
    does with it. holes : in its top face. sizes, ladders, trials : what is read off it.
    lifts : whether its ends may lift off the bed, to be measured."""

    id: str
    solid: cq.Solid
    top: float
    holes: tuple[CouponHole, ...]
    use: str
    sizes: tuple[Size, ...] = ()
    ladders: tuple[Ladder, ...] = ()
    trials: tuple[Trial, ...] = ()
    lifts: bool = False


def stroke_of(settings: Settings) -> float:
    """Return the width of the strokes of sunk marks, mm."""
    return max(0.8, settings.printer.two_beads)


def block(length: float, width: float, height: float) -> cq.Solid:
    """Return a block from the origin along x, centred on y = 0, its top at z = 0, mm."""
    import cadquery as cq

    return cq.Solid.makeBox(length, width, height, cq.Vector(0, -width / 2, -height))


def plate(outline: list[tuple[float, float]], height: float) -> cq.Solid:
    """Return a plate of an outline in x, y, its top at z = 0, mm."""
    import cadquery as cq

    return cq.Workplane("XY").polyline(outline).close().extrude(-height).val()


def sunk_text(text: str, middle: tuple[float, float], height: float, stroke: float) -> list[cq.Solid]:
    """Return what is cut away to sink a line of text, centred at `middle`, mm, into a top face at z = 0."""
    return text_solids(text, middle, height, stroke, -MARK_DEPTH, MARK_DEPTH)


def text_solids(
    text: str, middle: tuple[float, float], height: float, stroke: float, low: float, high: float
) -> list[cq.Solid]:
    """Return a line of text, centred at `middle` in x, y, as solids from z = low to high, mm."""
    import cadquery as cq

    left = middle[0] - text_width(text, height, stroke) / 2
    base = middle[1] - height / 2
    solids = []
    for part in as_multipolygon(text_outline(text, height, stroke)).geoms:
        rings = [part.exterior, *part.interiors]
        wires = [
            cq.Wire.makePolygon([cq.Vector(left + x, base + y, low) for x, y in list(ring.coords)[:-1]], close=True)
            for ring in rings
        ]
        face = cq.Face.makeFromWires(wires[0], wires[1:])
        solids.append(cq.Solid.extrudeLinear(face, cq.Vector(0, 0, high - low)))
    return solids


def on_front(solids: list[cq.Solid], y: float, middle: tuple[float, float]) -> list[cq.Solid]:
    """Return solids made about the plane z = 0 stood up into the plane y = `y`, seen from the front, their origin at
    `middle` in x, z; mm."""
    import cadquery as cq

    place = cq.Location(cq.Vector(middle[0], y, middle[1]), cq.Vector(1, 0, 0), 90.0)
    return [solid.moved(place) for solid in solids]


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
