"""What it is made of, how it is laid, marked and checked: [material], [pose], [label], [checks], [output]."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from sections.settings.table import Table

Format = Literal["stl", "3mf", "step"]


class MaterialTable(Table):
    """The plastic."""

    name: str = Field("PETG", description="what it is; used in the reports")
    expansion: float | None = Field(
        None, ge=0, le=300, description="1e-6/K; left out: a table's for PLA, PETG, ABS, ASA, PA6-CF"
    )
    glass_transition: float | None = Field(None, ge=20, le=300, description="deg C; left out: as above")
    density: float = Field(1.27, gt=0.1, le=25, description="g/cm3; the maker's data sheet wins")
    allowable_stress: float | None = Field(
        None,
        gt=0,
        le=500,
        description="MPa; stress hardpoints are sized to: prints pulled across layers, by a factor",
    )


class PoseTable(Table):
    """How a section is laid on the bed: what each drawback of a pose counts as, in mm2 to be supported; and the foot it
    gets where it would tip over."""

    support: float = Field(1.0, ge=0, le=1000, description="for each mm2 of a layer with nothing below it")
    bridged: float = Field(0.1, ge=0, le=1000, description="for each mm2 that is bridged")
    skin: float = Field(1.0, ge=0, le=1000, description="more, for each mm2 of skin to be supported: it is marked")
    stepped: float = Field(0.02, ge=0, le=1000, description="for each mm2 of skin so level that layers show as steps")
    lean: float = Field(20.0, ge=0, le=1e5, description="for each mm the centre of mass lies outside what it stands on")
    edge: float = Field(5000.0, ge=0, le=1e7, description="for a section that stands on an edge")
    height: float = Field(5.0, ge=0, le=1e4, description="for each mm it is high")
    bridge: float = Field(10.0, ge=0, le=100, description="mm; the longest way spanned without support")
    foot_thickness: float = Field(
        1.2, ge=0, le=10, description="mm; least thickness of the plate printed beside what would tip over; 0: none"
    )


class LabelTable(Table):
    """The label on every section: raised off its inner face, or where that is too small sunk into a seam face."""

    height: float = Field(8.0, ge=3, le=60, description="mm; height of the letters")
    relief: float = Field(
        0.8, ge=0.2, le=5, description="mm; how far they stand off the inner face, or are sunk into a seam face"
    )
    stroke: float = Field(1.0, ge=0.3, le=10, description="mm; width of a letter's stroke")


class ChecksTable(Table):
    """What the checks let pass."""

    wall: float = Field(0.15, gt=0, le=2, description="mm; how far the wall may fall short of what was asked")
    fit: float = Field(0.05, gt=0, le=1, description="mm; how far a measured fit may be from the asked one")
    covered: float = Field(
        99.0, ge=0, le=100, description="percent of what is seen of the body as it came that must lie on the sections"
    )


class OutputTable(Table):
    """What is written."""

    formats: list[Format] = Field(["stl", "3mf", "step"], min_length=1, description="files written per section")


class StepTable(Table):
    """How STEP files are made."""

    faceted: bool = Field(False, description="sections that are not exact get planar faces within mesh.deviation")
    tessellated: list[str] = Field([], description="sections whose exact solid is not tried: tessellated")
    limit: float = Field(
        1800.0, ge=1, le=86400, description="s; where one exact solid takes longer the build ends, with its name"
    )
