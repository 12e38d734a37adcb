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


def frustum(length: float, width: float, slope: float, z0: float, z1: float) -> cq.Solid:
    """Return a four-sided tapered block: length x width at z = 0, each side falling in by `slope` mm per mm of |z|.

    z0 < z1, both on one side of z = 0 or on it, mm.
    """
    import cadquery as cq

    def outline(z: float) -> cq.Wire:
        inset = 2 * slope * abs(z)
        half_l, half_w = (length - inset) / 2, (width - inset) / 2
        corners = [(-half_l, -half_w, z), (half_l, -half_w, z), (half_l, half_w, z), (-half_l, half_w, z)]
        return cq.Wire.makePolygon([cq.Vector(*corner) for corner in corners], close=True)

    return cq.Solid.makeLoft([outline(z0), outline(z1)], True)


def united(first: cq.Shape, *others: cq.Shape) -> cq.Solid:
    """Return the one solid that several overlapping or touching ones make. Raises ValueError when they do not."""
    whole = first.fuse(*others).clean()
    if len(whole.Solids()) != 1 or not whole.isValid():
        raise ValueError(f"{len(whole.Solids())} solids where one was expected")
    return whole.Solids()[0]
