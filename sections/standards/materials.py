"""How printed plastics grow with heat, and where they soften."""

from __future__ import annotations

from dataclasses import dataclass

from sections.standards.table import read_table


@dataclass(frozen=True)
class Plastic:
    """expansion : 1e-6/K. glass_transition : deg C, least glass transition."""

    expansion: float
    glass_transition: float


def plastic(name: str) -> Plastic | None:
    """Return the plastic of a name such as "PETG", in capitals or not; None where the table has none."""
    rows = read_table("materials")
    return Plastic(**rows[name.upper()]) if name.upper() in rows else None


def growth(length: float, expansion: float, warmer: float) -> float:
    """Return by how much a length, mm, grows when it gets warmer, K; expansion in 1e-6/K."""
    return length * expansion * 1e-6 * warmer
