"""Metric screws, washers and nuts, their clearance holes, and the edge and pitch rules for them."""

from __future__ import annotations

from dataclasses import dataclass

from sections.standards.table import read_table

# EN 1993-1-8 table 3.3, for bolts in steel plates; d0 is the hole diameter, t the thinner plate, mm. Borrowed
# here as a floor: printed plastic wants more, and the defaults in the parameter file ask for more.
EDGE_MIN_PER_HOLE = 1.2
PITCH_MIN_PER_HOLE = 2.2
PITCH_MAX_PER_THICKNESS = 14.0
PITCH_MAX = 200.0


@dataclass(frozen=True)
class Fastener:
    """One metric size: screw, washer, nut and clearance holes, mm; sources in fasteners.toml.

    washer_thickest : as thick as a washer may be. head_knurled : diameter of a knurled head. key_flats, key_depth : of
    the head's socket. shortest, longest : screws of this size that the standard lists.
    """

    size: str
    diameter: float
    pitch: float
    fine: float
    medium: float
    coarse: float
    washer_inner: float
    washer_outer: float
    washer_thickness: float
    head_diameter: float
    head_height: float
    nut_flats: float
    nut_height: float
    washer_thickest: float
    head_knurled: float
    key_flats: float
    key_depth: float
    shortest: float
    longest: float

    def hole(self, series: str) -> float:
        """Return the clearance hole diameter, mm, for a series of ISO 273: fine, medium or coarse."""
        return {"fine": self.fine, "medium": self.medium, "coarse": self.coarse}[series]


def fastener_sizes() -> tuple[str, ...]:
    """Return the sizes the table holds, smallest first."""
    return tuple(read_table("fasteners"))


def fastener(size: str) -> Fastener:
    """Return the row for a size such as "M4". Raises KeyError for a size the table lacks."""
    return Fastener(size=size, **read_table("fasteners")[size])


def screw_length(size: str, least: float) -> float | None:
    """Return the shortest standard length, mm, of a socket head cap screw that is `least` mm or more; None where
    ISO 4762 lists none so long for this size."""
    row = fastener(size)
    lengths = [length for length in read_table("screws")["lengths"] if row.shortest <= length <= row.longest]
    return next((float(length) for length in lengths if length >= least - 1e-9), None)


def longest_pitch(thickness: float) -> float:
    """Return the largest bolt pitch, mm, for plates of `thickness` mm: min(14 t, 200), EN 1993-1-8 t. 3.3."""
    return min(PITCH_MAX_PER_THICKNESS * thickness, PITCH_MAX)
