"""Parallel pins: diameters, lengths and limits of size."""

from __future__ import annotations

from sections.standards.table import read_table


def pin_diameters() -> tuple[float, ...]:
    """Return the tabled pin diameters, mm (ISO 2338)."""
    return tuple(float(key) for key in read_table("pins")["pin"])


def pin_lengths() -> tuple[float, ...]:
    """Return the usual pin lengths, mm (from memory; a supplier's list wins)."""
    return tuple(float(length) for length in read_table("pins")["lengths"])


def pin_limits(diameter: float, tolerance: str) -> tuple[float, float]:
    """Return (smallest, largest) diameter, mm, of a pin of nominal `diameter`, tolerance "m6" or "h8"."""
    row = read_table("pins")["pin"][f"{diameter:g}"]
    low_um, high_um = row[f"{tolerance}_um"]
    return diameter + low_um / 1000, diameter + high_um / 1000
