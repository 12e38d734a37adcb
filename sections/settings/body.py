"""What the body is and how finely it is followed: [body], [mesh], [wall]."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from sections.settings.table import Table, Vector

Units = Literal["mm", "cm", "m", "in", "ft"]
# Millimetres to a unit.
MM_PER = {"mm": 1.0, "cm": 10.0, "m": 1000.0, "in": 25.4, "ft": 304.8}
Axis = Literal["x", "y", "z", "-x", "-y", "-z"]


class Axes(Table):
    """Which axis of the body's own file points where in the vehicle frame."""

    rear: Axis = Field("x", description="axis of the file that points rearward (vehicle x)")
    right: Axis = Field("y", description="axis of the file that points to the right (vehicle y)")
    up: Axis = Field("z", description="axis of the file that points up (vehicle z)")


class BodyTable(Table):
    """The full outer form."""

    file: str | None = Field(None, description="body to read: STEP, or a closed STL, OBJ, PLY or 3MF mesh")
    script: str | None = Field(None, description='or a Python callable that returns a CadQuery solid: "plover.py:body"')
    take: Literal["first"] | list[str | int] | None = Field(
        None,
        description='what of a STEP file is the body: "first" its first solid, or a list of names of parts or layers, '
        "or numbers of parts as `sections inspect` lists them",
    )
    units: Units = Field(description="length unit of the body's own coordinates; required, never guessed")
    axes: Axes = Field(Axes(), description="how the body's own axes map to the vehicle frame")
    scale: float = Field(1.0, gt=0, le=1e6, description="factor applied after the unit")
    shift: Vector = Field([0.0, 0.0, 0.0], description="mm added after axes and scale: x, y, z")
    open: bool = Field(False, description="an open skin, as a panel: the wall is laid behind it, square at its border")
    outside: Vector | None = Field(None, description="a direction an open skin looks toward, where not plain")
    symmetric: bool = Field(False, description="the body is its own mirror image in y = 0")


class MeshTable(Table):
    """How finely the body is followed."""

    deviation: float = Field(
        0.1, ge=0.01, le=2.0, description="mm; the most the printed skin may leave the given surface"
    )
    pitch: float = Field(
        5.0, ge=1.0, le=12.0, description="mm; lattice pitch of the distance field that makes the inner face"
    )


class WallTable(Table):
    """The material between skin and inner face."""

    thickness: float = Field(4.0, ge=0.8, le=40.0, description="mm; wall, inward from the skin")
