"""What a fit comes to in millimetres: words by the printer's profile, pairs by ISO 286."""

from __future__ import annotations

from typing import Literal

from sections.settings.fits import WORDS
from sections.settings.model import Settings
from sections.settings.printer import PrinterTable
from sections.standards.limits import pair_of

FitKind = Literal["key", "dowel", "insert"]


def fit_of(settings: Settings, kind: FitKind) -> float:
    """Return a fit, mm per side, as drawn: the clearance between the two mating faces, or what an insert's hole gets.

    A word is what the printer makes of it; of several printers the widest holds, for either may print either side. A
    pair of ISO 286 is drawn so that the hole comes out, and the pin is, in the middle of its limits.
    """
    asked = getattr(settings.fits, kind)
    if not isinstance(asked, str):
        return asked
    machines = machines_of(settings)
    if asked in WORDS:
        return max(getattr(getattr(machine.fits, kind), asked) for machine in machines)
    diameter = settings.dowels.diameter
    pair = pair_of(diameter, asked)
    clearance = pair.hole.middle - pair.shaft.middle
    return (clearance + max(machine.hole_loss(diameter) for machine in machines)) / 2


def machines_of(settings: Settings) -> tuple[PrinterTable, ...]:
    """Return the printers the sections are made on."""
    return tuple(settings.printers) or (settings.printer,)
