"""What helps when sections are joined: [guides] and [clamps]."""

from __future__ import annotations

from pydantic import Field

from sections.settings.table import Table


class GuidesTable(Table):
    """Drill guides: a plate on a section's seam face, hooked over its skin, with a bore over every hole."""

    pairs: list[str] = Field(
        description='pairs of sections, as plan.json names them: "x1:X0R+X1R"; each gets a guide for both'
    )
    thickness: float = Field(8.0, ge=3, le=60, description="mm; of the plate: the length of its bores")
    lip: float = Field(12.0, ge=4, le=100, description="mm; how far it reaches down over the skin, and past the end")
    wall: float = Field(4.0, ge=1.2, le=30, description="mm; thickness of what reaches over")
    fit: float = Field(0.2, ge=0, le=2, description="mm; between it and the skin, and the section's end")
    bushes: bool = Field(True, description="bores for press-fit drill bushes; false: of the holes' own size")


class ClampsTable(Table):
    """Clamp pads: wedges on the sloped backs of two flanges, so that a clamp pulls square to the seam."""

    count: int = Field(8, ge=1, le=1000, description="how many to print; two make a place to clamp")
    width: float = Field(30.0, ge=8, le=200, description="mm; along the seam")
    clear: float = Field(3.0, ge=0.5, le=50, description="mm; kept off the wall")
