"""Parallel pins: diameters, lengths and limits of size."""

from __future__ import annotations

from sections.standards.limits import shaft_limits
from sections.standards.table import read_table


def pin_diameters() -> tuple[float, ...]:
    """Return the tabled pin diameters, mm (ISO 2338)."""
    return tuple(float(diameter) for diameter in read_table("pins")["diameters"])


def pin_lengths() -> tuple[float, ...]:
    """Return the usual pin lengths, mm (from memory; a supplier's list wins)."""
    return tuple(float(length) for length in read_table("pins")["lengths"])


def pin_limits(diameter: float, tolerance: str) -> tuple[float, float]:
    """Return (smallest, largest) diameter, mm, of a pin of nominal `diameter`, tolerance "m6" or "h8"."""
    limits = shaft_limits(diameter, tolerance)
    return diameter + limits.lower, diameter + limits.upper
