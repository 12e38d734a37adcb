"""The machine: [printer] and [[printers]]: its room, and what it makes of what it is given."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from sections.settings.table import Name, Table, Vector

Loss = Annotated[float, Field(ge=-0.05, le=0.05)]


class WordFits(Table):
    """What the words for a fit come to on this machine, mm per side."""

    press: float = Field(0.08, ge=-0.5, le=2, description="mm per side; goes together by force (practice: 0.05 to 0.1)")
    slide: float = Field(0.25, ge=-0.5, le=2, description="mm per side; goes together by hand (practice: 0.2 to 0.3)")
    loose: float = Field(0.45, ge=-0.5, le=2, description="mm per side; falls together (practice: 0.4 to 0.5)")


class InsertFits(Table):
    """What the word for an insert's hole comes to on this machine."""

    press: float = Field(0.0, ge=-0.5, le=0.5, description="mm per side; added to the hole the insert's maker gives")


class PrinterFits(Table):
    """What the words for fits come to: until they are measured, common practice, no source."""

    key: WordFits = Field(WordFits(), description="of a key in its pocket")
    dowel: WordFits = Field(WordFits(), description="of a dowel in its hole or slot")
    insert: InsertFits = Field(InsertFits(), description="of a heat-set insert in its hole")


class PrinterTable(Table):
    """The machine the sections must fit."""

    bed: Vector = Field([300.0, 300.0, 300.0], description="mm; usable x, y and height")
    margin: float = Field(5.0, ge=0, le=100, description="mm; kept free at each side of the bed and at the top")
    nozzle: float = Field(0.4, gt=0, le=3, description="mm; nozzle diameter")
    volumetric_flow: float = Field(
        10.0, gt=0, le=500, description="mm3/s; plastic laid on average, for estimates of time"
    )
    shrink: list[Loss] = Field(
        [0.0, 0.0, 0.0],
        min_length=3,
        max_length=3,
        description="part of a length lost in x, y and height (0.004: 0.4 %); print files are divided by 1 - shrink",
    )
    outside_oversize: float = Field(0.0, ge=-1, le=1, description="mm; so much larger, all across, outsides come out")
    hole_undersize: Annotated[list[float], Field(min_length=2, max_length=2)] = Field(
        [0.0, 0.0],
        description="mm, mm2; a hole of diameter d comes out hole_undersize[0] + hole_undersize[1] / d smaller",
    )
    first_layer_spread: float = Field(0.0, ge=0, le=2, description="mm per side; how far the first layers spread")
    repeatability: float = Field(
        0.067,
        ge=0,
        le=1,
        description="mm; standard deviation of a size from print to print (practice: 0.2 mm at most)",
    )
    shrink_uncertainty: Vector = Field(
        [0.002, 0.002, 0.002], description="part of a length in x, y and height that shrink may be off by (95 %)"
    )
    fits: PrinterFits = Field(PrinterFits(), description="what the words for fits come to on this machine")

    def hole_loss(self, diameter: float) -> float:
        """Return how much smaller a hole of a diameter comes out, mm, all across."""
        return self.hole_undersize[0] + self.hole_undersize[1] / diameter

    @property
    def two_beads(self) -> float:
        """The least width that prints as a wall: two lines of the nozzle, mm."""
        return 2 * self.nozzle

    @property
    def growth(self) -> tuple[float, float, float]:
        """By what a print file is larger than the part it is to become, along x, y and height: 1 / (1 - shrink)."""
        x, y, z = self.shrink
        return 1 / (1 - x), 1 / (1 - y), 1 / (1 - z)


class OtherPrinter(PrinterTable):
    """One of several machines."""

    id: Name = Field(description="name of the machine, in the plan and the reports")
