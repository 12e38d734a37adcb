"""What the sections are held on while they are joined: [jig]."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from sections.settings.table import Point2, Table

# mm; lines and letters are cut so deep into printed parts.
MARK_DEPTH = 0.6


class JigTable(Table):
    """Saddles across the body on two rails, and one stop at the nose."""

    make: Literal["sheet", "printed"] = Field("sheet", description="cut from sheet, or printed and bonded")
    stations: list[float] = Field([], description="mm; x of the saddles, rising; empty: placed `pitch` apart")
    pitch: float = Field(400.0, ge=50, le=5000, description="mm; between saddles that are placed, at most")
    thickness: float = Field(12.0, ge=2, le=50, description="mm; of the sheet, as measured, or of what is printed")
    sheet: Point2 = Field([1220.0, 2440.0], description="mm; size of one sheet")
    rails: float = Field(250.0, ge=20, le=3000, description="mm; of each rail from the middle of the body")
    top: float | None = Field(None, description="mm; z of the rails' upper edge, the datum; left out: below the body")
    height: float = Field(100.0, ge=40, le=1000, description="mm; of rails; half of it lies in the saddles' slots")
    reach: float = Field(200.0, ge=20, le=3000, description="mm; how far saddles come up past the body's lowest place")
    pad: float = Field(40.0, ge=5, le=500, description="mm; width of the places that hold the skin")
    gap: float = Field(1.0, ge=0, le=20, description="mm; between pad and skin: the felt or tape laid between")
    shim_gap: float = Field(
        1.0, ge=0, le=20, description="mm; more of it under pads that do not locate: packed with shims"
    )
    relief: float = Field(8.0, ge=1, le=100, description="mm; how far the edge keeps off the skin between pads")
    cutter: float = Field(6.0, ge=0, le=25, description="mm; diameter of the cutter; 0 for a laser; printed: none")
    templates: list[float] = Field([], description="mm; x of contour templates for finishing the skin by hand")
    template_gap: float = Field(1.0, ge=0, le=20, description="mm; at which a template's edge follows the skin")
    fit: float = Field(0.15, ge=0, le=2, description="mm; between a slot and the sheet in it, per side")
