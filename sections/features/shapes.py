"""The few exact solids features are made of. CadQuery is imported on first use: planning never needs it."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import cadquery as cq


def cylinder(radius: float, z0: float, z1: float) -> cq.Solid:
    """Return a round bar on the z axis from z0 to z1, mm."""
    import cadquery as cq

    return cq.Solid.makeCylinder(radius, z1 - z0, cq.Vector(0, 0, z0), cq.Vector(0, 0, 1))


def slot_bar(length: float, width: float, z0: float, z1: float) -> cq.Solid:
    """Return a bar of slot outline, overall `length` along x and `width` wide, from z0 to z1, mm."""
    import cadquery as cq

    return cq.Workplane("XY", origin=(0, 0, z0)).slot2D(length, width).extrude(z1 - z0).val()


def turned(profile: list[tuple[float, float]]) -> cq.Solid:
    """Return the solid of a closed (radius, z) outline turned about the z axis, mm."""
    import cadquery as cq

    return cq.Workplane("XZ").polyline(profile).close().revolve(360, (0, 0), (0, 1)).val()


def tapered(outlines: list[tuple[float, float, float]]) -> cq.Solid:
    """Return the solid that straight sides make through rectangles about the z axis: (length along x, width along y, z)
    of each, mm, z rising."""
    import cadquery as cq

    def wire(length: float, width: float, z: float) -> cq.Wire:
        corners = [
            (-length / 2, -width / 2),
            (length / 2, -width / 2),
            (length / 2, width / 2),
            (-length / 2, width / 2),
        ]
        return cq.Wire.makePolygon([cq.Vector(x, y, z) for x, y in corners], close=True)

    return cq.Solid.makeLoft([wire(*outline) for outline in outlines], True)


def united(first: cq.Shape, *others: cq.Shape) -> cq.Solid:
    """Return the one solid that several overlapping or touching ones make. Raises ValueError when they do not."""
    whole = first.fuse(*others).clean()
    if len(whole.Solids()) != 1 or not whole.isValid():
        raise ValueError(f"{len(whole.Solids())} solids where one was expected")
    return whole.Solids()[0]


def long_turned(profile: list[tuple[float, float]], half: float) -> cq.Solid:
    """Return the solid of a closed (radius, z) outline turned about the z axis and drawn out by `half` mm each way
    along x: what is round becomes a slot."""
    import cadquery as cq

    if half <= 0:
        return turned(profile)
    ends = [turned(profile).moved(cq.Location(cq.Vector(x, 0, 0))) for x in (-half, half)]
    both = [(y, z) for y, z in profile] + [(-y, z) for y, z in reversed(profile) if y > 0]
    middle = cq.Workplane("YZ", origin=(-half, 0, 0)).polyline(both).close().extrude(2 * half).val()
    return united(middle, *ends)


def standoff(outer: float, height: float, foot: float, root: float, half: float = 0.0) -> cq.Solid:
    """Return a standoff down from z = 0, `outer` wide, a cone `foot` high and wide at its base, then `root` further,
    drawn out by `half` each way along x, mm."""
    radius, base = outer / 2, -height
    profile = [(0, 0), (radius, 0), (radius, base + foot), (radius + foot, base),
               (radius + foot, base - root), (0, base - root)]  # fmt: skip
    return long_turned([p for i, p in enumerate(profile) if i == 0 or p != profile[i - 1]], half)


def bar(x: tuple[float, float], y: tuple[float, float], z: tuple[float, float]) -> cq.Solid:
    """Return the block between two values of x, y and z, mm."""
    import cadquery as cq

    size = [high - low for low, high in (x, y, z)]
    return cq.Solid.makeBox(*size, pnt=cq.Vector(x[0], y[0], z[0]))


def upright_prism(profile: list[tuple[float, float]], width: float, turn: float) -> cq.Solid:
    """Return the block `width` mm wide of an upright outline of (distance out, z), mm, turned by `turn` deg from x
    toward y."""
    import cadquery as cq

    block = cq.Workplane("XZ", origin=(0, width / 2, 0)).polyline(profile).close().extrude(width).val()
    return block.rotate(cq.Vector(0, 0, 0), cq.Vector(0, 0, 1), turn)
