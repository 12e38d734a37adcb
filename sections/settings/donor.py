"""What the body keeps off: [[keepouts]] and [[wheels]]."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from sections.settings.shapes import Box, Cylinder, Own, Profile
from sections.settings.table import Name, Table, Vector

_GAP = Field(10.0, ge=0, le=1000, description="mm; what sections and bolts keep off it, at least")
_MIRROR = Field(False, description="keep off its mirror image in y = 0 as well")


class KeepOut(Table):
    """What all that is kept off has."""

    id: Name = Field(description="name of what is kept off")
    mirror: bool = _MIRROR
    gap: float = _GAP


class BoxKeepOut(KeepOut, Box):
    """A box along the vehicle axes."""


class CylinderKeepOut(KeepOut, Cylinder):
    """A round bar, as a tube of a cage."""


class ProfileKeepOut(KeepOut, Profile):
    """A closed outline swept along a vehicle axis."""


class SolidKeepOut(KeepOut, Own):
    """A solid of the builder's own, or part of the donor's scan."""


AnyKeepOut = Annotated[BoxKeepOut | CylinderKeepOut | ProfileKeepOut | SolidKeepOut, Field(discriminator="kind")]


class Wheel(Table):
    """A wheel, and where it can go: the body keeps off all of that."""

    id: Name = Field(description="name of the wheel")
    tyre: str | None = Field(None, description='the mark on its side wall: "205/55R16"')
    diameter: float | None = Field(None, ge=100, le=3000, description="mm; or the mounted tyre's own, at its largest")
    width: float | None = Field(None, ge=10, le=1500, description="mm; with `diameter`: its own, at its widest")
    centre: Vector = Field(description="mm; its middle, the car standing as it does")
    steer: float = Field(0.0, ge=0, le=60, description="deg; how far it steers to either side")
    kingpin: float = Field(0.0, ge=-200, le=400, description="mm; of the steering axis, upright, inboard of its middle")
    bump: float = Field(0.0, ge=0, le=500, description="mm; how far it travels up")
    droop: float = Field(0.0, ge=0, le=500, description="mm; how far it travels down")
    mirror: bool = _MIRROR
    gap: float = _GAP
