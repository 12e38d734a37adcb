"""Solids given in the parameter file: boxes, bars, swept outlines, solids of the builder's own."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from sections.settings.places import SeenPlace
from sections.settings.table import Point2, Table, Vector


class Box(Table):
    """A box along the vehicle axes."""

    kind: Literal["box"] = Field(description="a box along the vehicle axes")
    low: Vector = Field(description="mm; the corner with the smallest x, y, z")
    high: Vector = Field(description="mm; the corner with the largest x, y, z")


class Cylinder(Table):
    """A round bar."""

    kind: Literal["cylinder"] = Field(description="a round bar")
    centre: Vector | None = Field(None, description="mm; middle of the bar")
    seen: SeenPlace | None = Field(None, description="or where its middle is seen, on the skin or below it")
    axis: Vector | None = Field(None, description="direction of the bar; with `seen` left out: straight off the skin")
    radius: float = Field(gt=0, description="mm; radius of the bar")
    length: float = Field(gt=0, description="mm; length of the bar")


class Profile(Table):
    """A closed outline swept along a vehicle axis."""

    kind: Literal["profile"] = Field(description="a closed outline swept along a vehicle axis")
    along: Literal["x", "y", "z"] = Field(description="axis of the sweep")
    points: Annotated[list[Point2], Field(min_length=3)] = Field(
        description="mm; corners of the outline, in the two other axes in the order x, y, z"
    )
    start: float = Field(description="mm; where the sweep starts on its axis")
    stop: float = Field(description="mm; where the sweep stops on its axis")
    corner: float = Field(0.0, ge=0, description="mm; radius of the outline's corners")


class Own(Table):
    """A solid of the builder's own, in the vehicle frame."""

    kind: Literal["solid"] = Field(description="a solid of your own, in the vehicle frame, mm")
    script: str | None = Field(None, description='Python callable that returns it: "plover.py:windscreen"')
    file: str | None = Field(None, description="or a STEP file or closed mesh, in mm")


AnyShape = Box | Cylinder | Profile | Own
