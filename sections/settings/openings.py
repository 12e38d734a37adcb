"""What is cut through wall and skin, and how it is edged: [[openings]]."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from sections.settings.joints import SeamId
from sections.settings.shapes import Box, Cylinder, Own, Profile
from sections.settings.table import Name, Table


class Rim(Table):
    """A return flange along the edge of an opening, and of the panel in it."""

    height: float = Field(12.0, gt=0, le=200, description="mm; from the skin to its inner edge")
    thickness: float = Field(4.0, ge=0.8, le=60, description="mm; square to the opening's sides")


class Glass(Table):
    """A rebate that a pane is bonded into, flush with the skin."""

    thickness: float = Field(gt=0, le=30, description="mm; of the pane")
    bead: float = Field(gt=0, le=20, description="mm; of the adhesive under it, pressed")
    width: float = Field(15.0, ge=4, le=100, description="mm; of the bond flange under the pane's edge")
    flange: float = Field(4.0, ge=0.8, le=60, description="mm; thickness of the bond flange and its rim")
    corner: float = Field(20.0, ge=0, le=500, description="mm; the least corner radius the pane can be cut to")


class PanelGap(Table):
    """A panel that opens: what is cut out stays, a gap all round."""

    gap: float = Field(4.0, ge=0.5, le=50, description="mm; panel gap, square to the opening's sides")
    seams: list[SeamId] | None = Field(None, description="seams that cut the panel; left out: all that meet it")


class Opening(Table):
    """What every opening has."""

    id: Name = Field(description="name of the opening")
    mirror: bool = Field(False, description="cut the mirror image in y = 0 as well")
    rim: Rim | None = Field(None, description="a return flange along its edge")
    glass: Glass | None = Field(None, description="a rebate for a pane; the opening is the pane's outline, a gap wider")
    panel: PanelGap | None = Field(None, description="a panel that opens; the opening is its outline, a gap wider")


class BoxOpening(Opening, Box):
    """A box along the vehicle axes."""


class CylinderOpening(Opening, Cylinder):
    """A round bar."""


class ProfileOpening(Opening, Profile):
    """A closed outline swept along a vehicle axis."""


class SolidOpening(Opening, Own):
    """A solid of the builder's own, in the vehicle frame."""


AnyOpening = Annotated[BoxOpening | CylinderOpening | ProfileOpening | SolidOpening, Field(discriminator="kind")]
