"""The whole parameter file as one frozen model."""

from __future__ import annotations

from pydantic import Field

from sections.settings.body import BodyTable, MeshTable, WallTable
from sections.settings.bosses import Boss, Hardpoint
from sections.settings.dimensions import Dimension, Variant
from sections.settings.donor import AnyKeepOut, Wheel
from sections.settings.fits import FitsTable
from sections.settings.guides import ClampsTable, GuidesTable
from sections.settings.jig import JigTable
from sections.settings.joints import (
    BoltsTable,
    DowelsTable,
    FlangeTable,
    KeysTable,
    SeamsTable,
)
from sections.settings.making import (
    ChecksTable,
    LabelTable,
    MaterialTable,
    OutputTable,
    PoseTable,
    StepTable,
)
from sections.settings.openings import AnyOpening
from sections.settings.printer import OtherPrinter, PrinterTable
from sections.settings.scan import DatumTable, HalfTable, Measured, RepairTable
from sections.settings.stackup import StackupTable
from sections.settings.table import Name, Table


class Settings(Table):
    """Everything a build is made from. Lengths mm, angles deg, vehicle frame: x rear, y right, z up."""

    name: Name = Field(description="name of the job, and of its folder in out/")
    dimensions: dict[str, Dimension] = Field({}, description="named numbers that other keys are worked out from")
    variants: list[Variant] = Field([], description="other sets of dimensions, built and compared by one command")
    body: BodyTable = Field(description="the full outer form")
    measured: list[Measured] = Field([], description="true distances a scan must show")
    datum: DatumTable | None = Field(None, description="what sets a scan into the vehicle frame")
    repair: RepairTable = Field(
        RepairTable(), description="what is repaired of a mesh, in this order; the rest is refused"
    )
    half: HalfTable | None = Field(None, description="one half of a body, to be mirrored")
    mesh: MeshTable = Field(MeshTable(), description="how finely the body is followed")
    wall: WallTable = Field(WallTable(), description="the material between skin and inner face")
    seams: SeamsTable = Field(SeamsTable(), description="where the body is cut")
    flange: FlangeTable = Field(FlangeTable(), description="the inward rib along every seam")
    bolts: BoltsTable = Field(BoltsTable(), description="the bolts that draw two flanges together")
    dowels: DowelsTable = Field(DowelsTable(), description="the dowels that locate")
    keys: KeysTable = Field(KeysTable(), description="the tongues that align and carry shear")
    fits: FitsTable = Field(FitsTable(), description="clearances, per side: a number, or a word of the printer's")
    openings: list[AnyOpening] = Field([], description="what is cut through wall and skin")
    keepouts: list[AnyKeepOut] = Field([], description="what sections and bolts keep off")
    wheels: list[Wheel] = Field([], description="wheels, steered and travelled, that sections and bolts keep off")
    bosses: list[Boss] = Field([], description="standoffs that take an insert or a bolt")
    hardpoints: list[Hardpoint] = Field([], description="standoffs to the points of the donor the body is fastened to")
    jig: JigTable | None = Field(None, description="what the sections are held on while they are joined")
    guides: GuidesTable | None = Field(None, description="drill guides for the holes of flanges")
    clamps: ClampsTable | None = Field(None, description="wedges to clamp two flanges by")
    stackup: StackupTable = Field(StackupTable(), description="what errors may add up to")
    pose: PoseTable = Field(PoseTable(), description="how sections are laid on the bed")
    label: LabelTable = Field(LabelTable(), description="the raised name on every section")
    printer: PrinterTable = Field(PrinterTable(), description="the machine the sections must fit")
    printers: list[OtherPrinter] = Field(
        [], description="several machines instead: a section goes to the first in this order that it fits"
    )
    material: MaterialTable = Field(MaterialTable(), description="the plastic")
    checks: ChecksTable = Field(ChecksTable(), description="what the checks let pass")
    output: OutputTable = Field(OutputTable(), description="what is written")
    step: StepTable = Field(StepTable(), description="how STEP files are made")

    @property
    def dimension_values(self) -> dict[str, float]:
        """The values of dimensions by name, each in its own unit."""
        return {name: one.value for name, one in self.dimensions.items()}
