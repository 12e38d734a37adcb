"""How sections meet: [seams], [flange], [bolts], [dowels], [keys]."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from sections.settings.places import SeenPlace
from sections.settings.table import INSTEAD, Name, Table, Vector

SeamId = Annotated[str, Field(pattern=r"^[a-z][1-9][0-9]{0,2}$")]
SeamSide = Annotated[str, Field(pattern=r"^[+-][a-z][1-9][0-9]{0,2}$")]


class _Cut(Table):
    """What every planar cut has."""

    axis: Literal["x", "y", "z"] | None = Field(None, description="vehicle axis the plane stands square to")
    normal: Vector | None = Field(None, description="or the plane's normal, any length")
    within: list[SeamSide] = Field(
        [],
        description='where the seam runs: "+x1" beyond seam x1, "-x2" short of seam x2; empty = everywhere',
    )
    panel: str | None = Field(None, description="cuts only the panel that opens in this opening, nothing else")
    bolted: bool | Literal["room"] = Field(
        True,
        description='false: bonded, where no bolt gets behind: dowels and keys only; "room": bonded only there',
    )


class SetOff(Table):
    """Where a seam stands off something else in the file, and goes with it."""

    beside: Name = Field(description="id of an opening, a keep-out or a wheel that is given by its dimensions")
    end: Literal["low", "high"] = Field(description="which end of it, along the seam's axis or normal")
    by: float = Field(description="mm; how far off that end, away from it; less than 0: into it")


class SeamPlane(_Cut):
    """One planar cut."""

    id: SeamId = Field(description='a letter and a number: "x1"; sections are named after it')
    at: float = Field(
        description="mm; distance of the plane from the origin along its axis or normal",
        json_schema_extra={INSTEAD: "off"},
    )
    off: SetOff | None = Field(None, description="instead of `at`: so far off an end of something else")


class EvenSeams(_Cut):
    """A family of seams that part a length into even slices: x1, x2 ... for family "x"."""

    family: Annotated[str, Field(pattern=r"^[a-z]$")] = Field(description='the letter of their names: "x"')
    number: int = Field(1, ge=1, le=99, description="of the first of them: 6 for x6, x7 ...")
    start: float = Field(description="mm; where the first slice begins, along the axis or normal; no seam is there")
    stop: float = Field(description="mm; where the last slice ends; no seam is there")
    apart: float = Field(gt=0, description="mm; no slice is wider")


class ClearPlace(Table):
    """A place no found seam comes near: a lamp, a vent, a badge's recess."""

    at: Vector | None = Field(None, description="mm; its middle")
    seen: SeenPlace | None = Field(None, description="or where it is seen")
    radius: float = Field(gt=0, le=5000, description="mm; kept clear around it")


class SeamWeights(Table):
    """What the faults of found seams count, in sections."""

    length: float = Field(0.02, ge=0, le=10, description="for a bed's width of seam")
    shallow: float = Field(
        0.5, ge=0, le=10, description="for a bed's width less steep than seams.angle; twice for half"
    )
    along: float = Field(0.5, ge=0, le=10, description="for a bed's width along a rim or a sharp edge")
    curved: float = Field(0.1, ge=0, le=10, description="for a bed's width on skin bent to a radius of 50 mm or less")
    all_flange: float = Field(
        3.0, ge=0, le=10, description="for a bed's square of skin with nothing but flange behind it"
    )
    narrow: float = Field(3.0, ge=0, le=10, description="for a section narrower than seams.width")
    hanging: float = Field(
        0.3, ge=0, le=10, description="for a bed's square of a section that hangs over however it is laid"
    )
    offset: float = Field(0.2, ge=0, le=10, description="for an end of a seam close to another's end, not on it")
    uneven: float = Field(
        0.1, ge=0, le=10, description="for a slice of twice the skin its strip's slices have on average"
    )


class SeamsTable(Table):
    """Where the body is cut."""

    mode: Literal["given", "auto"] = Field(
        "given", description="auto: `planes` stay as they are, and further seams are found until every section fits"
    )
    planes: list[SeamPlane] = Field(
        [], max_length=400, description="the cuts; with body.symmetric, give those at y >= 0 only"
    )
    even: list[EvenSeams] = Field([], max_length=20, description="families of even cuts, beside `planes`")
    whole: list[str] = Field([], description="ids of sections that no found seam cuts, as `planes` alone name them")
    angle: float = Field(45.0, ge=0, le=85, description="deg; between found seams and skin, the least wanted")
    width: float = Field(90.0, ge=5, le=1000, description="mm; of a section, the least wanted: its label needs room")
    clear: list[ClearPlace] = Field([], description="places no found seam comes near; bosses are added by themselves")
    weights: SeamWeights = Field(SeamWeights(), description="what the faults of found seams count")


class FlangeTable(Table):
    """The inward rib along every seam."""

    height: float = Field(24.0, gt=0, le=200, description="mm; from the skin to the flange's inner edge")
    thickness: float = Field(6.0, gt=0, le=60, description="mm; each section's own flange, square to the seam")
    back_angle: float = Field(
        45.0,
        ge=20,
        le=60,
        description="deg; slope of the flange's back from the seam plane: 45 prints without support, less is flatter",
    )
    web: float = Field(1.6, ge=0.4, le=20, description="mm; least plastic left around a hole or pocket")


class BoltsTable(Table):
    """The bolts that draw two flanges together."""

    size: str = Field("M3", description="metric size of the flange bolts")
    pitch: float = Field(80.0, gt=0, description="mm; most distance between neighbouring bolts of a seam")
    edge_distance: float = Field(
        1.5,
        ge=1.2,
        le=6,
        description="hole diameters from hole centre to the flange's free edge (EN 1993-1-8: 1.2)",
    )
    seat_clearance: float = Field(0.5, ge=0.1, le=10, description="mm; clearance around washer and socket, per side")
    inserts: bool = Field(
        True, description="where a nut cannot be reached, a heat-set insert takes its place, set from the seam"
    )


class DowelsTable(Table):
    """The round pins that locate: one round hole and one slot per pair of sections."""

    kind: Literal["printed", "metal"] = Field("printed", description="printed, or bought as parallel pins")
    diameter: float = Field(4.0, ge=2, le=20, description="mm; diameter (ISO 2338 sizes when metal)")
    length: float = Field(8.0, ge=4, le=100, description="mm; length, half in each section")


class KeysTable(Table):
    """The tapered tongue and pocket that align by hand and carry shear."""

    kind: Literal["loose", "fixed"] = Field(
        "loose", description="loose: one double key, two pockets; fixed: tongue on one section"
    )
    length: float = Field(20.0, ge=4, le=200, description="mm; along the seam, at the seam")
    width: float = Field(5.0, ge=2, le=100, description="mm; across the flange, at the seam")
    height: float = Field(4.0, ge=1, le=60, description="mm; depth into each pocket")
    draft: float = Field(5.0, ge=0, le=30, description="deg; taper of the key's sides")
