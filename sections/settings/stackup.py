"""What the errors may add up to: [stackup]."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from sections.settings.table import Table


class StackupTable(Table):
    """Where errors are reckoned from, what they may come to, and how warm it gets."""

    datum: str | None = Field(
        None,
        description="section all others are reckoned from; left out: what the jig holds, or the one most in the middle",
    )
    limit: float | None = Field(
        None, gt=0, le=100, description="mm, plus and minus; what errors may come to at any place"
    )
    tolerance_class: Literal["f", "m", "c", "v"] | None = Field(
        None, description="or the class of ISO 2768-1 that holds for the distance from the datum"
    )
    jig_tolerance: float = Field(
        0.5, ge=0, le=20, description="mm, plus and minus; how truly the jig holds a section: cut and packing"
    )
    assembly_temperature: float = Field(20.0, ge=-40, le=80, description="deg C; in the workshop where it is joined")
    lowest_temperature: float = Field(0.0, ge=-60, le=80, description="deg C; the coldest the body gets")
    highest_temperature: float = Field(
        40.0, ge=-40, le=200, description="deg C; the hottest the body gets: dark paint in the sun some 70"
    )
    donor_expansion: float = Field(
        12.0, ge=0, le=200, description="1e-6/K; expansion of what it is fastened to (steel 12)"
    )
    stand_expansion: float = Field(
        12.0, ge=0, le=200, description="1e-6/K; expansion of what it stands on while it is joined"
    )
