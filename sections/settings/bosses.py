"""What sections carry: [[bosses]] and [[hardpoints]]."""

from __future__ import annotations

from pydantic import Field

from sections.settings.places import SeenPlace
from sections.settings.table import Name, Table, Vector


class Boss(Table):
    """A standoff on the inner face that takes an insert or a bolt."""

    id: Name = Field(description="name of the boss")
    at: Vector | None = Field(None, description="mm; centre of the boss's mouth, inside the body")
    seen: SeenPlace | None = Field(None, description="or the place on the skin that it stands behind")
    axis: Vector | None = Field(None, description="direction the mouth faces; left out: straight off the skin")
    insert: str | None = Field(None, description="heat-set insert size")
    bolt: str | None = Field(None, description="or a through-threaded bolt's size: clearance hole, blind")
    depth: float | None = Field(None, gt=0, description="mm; hole depth; left out: by the rule of the insert")
    outer: float | None = Field(None, gt=0, description="mm; boss diameter; left out: by the rule")
    base_cone: float = Field(4.0, ge=0, le=40, description="mm; height and spread of the cone that blends it in")
    mirror: bool = Field(False, description="add the mirror image in y = 0 as well")


class Hardpoint(Table):
    """A point of the donor that the body is fastened to: a standoff reaches to it, sized for its load."""

    id: Name = Field(description="name of the hardpoint")
    at: Vector | None = Field(
        None, description="mm; where the bolt's axis meets the donor's face: the middle of the mouth"
    )
    seen: SeenPlace | None = Field(None, description="or the place on the skin that it stands behind, with `below`")
    axis: Vector | None = Field(
        None, description="direction the bolt is drawn out, toward the donor; left out: straight off the skin"
    )
    bolt: str | None = Field(None, description="size of the donor's bolt: it goes into a nut held in the standoff")
    insert: str | None = Field(None, description="or into a heat-set insert of this size")
    load: float | None = Field(None, gt=0, le=1e5, description="N; pull along the axis that the standoff is sized for")
    side_load: float = Field(0.0, ge=0, le=1e5, description="N; force across the axis, at the mouth, any way")
    travel: float = Field(0.0, ge=0, le=40, description="mm each way; how far the bolt can be moved in its slot")
    along: Vector | None = Field(None, description="direction of the slot; needed with `travel`")
    outer: float | None = Field(
        None, gt=0, le=200, description="mm; width of the standoff; left out: by load and rules"
    )
    base_cone: float = Field(4.0, ge=0, le=40, description="mm; height and spread of the cone that blends it in")
    gusset: bool = Field(True, description="a rib below, as it lies in the printer, to print without support")
    tool_reach: float = Field(
        75.0, ge=0, le=500, description="mm; how far a socket with its bar reaches before the mouth"
    )
    mirror: bool = Field(False, description="add the mirror image in y = 0 as well")
