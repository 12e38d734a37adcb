"""Press-fit drill bushes: outer diameter by bore, DIN 179 (from memory: measure the bushes in hand)."""

from __future__ import annotations

# Largest bore and outer diameter, mm.
_BUSHES = ((1.0, 3.0), (1.8, 4.0), (2.6, 5.0), (3.3, 6.0), (4.0, 7.0), (5.0, 8.0), (6.0, 10.0), (8.0, 12.0),
           (10.0, 15.0), (12.0, 18.0), (15.0, 22.0))  # fmt: skip


def bush_outer(bore: float) -> float:
    """Return the outer diameter, mm, of the bush for a drill of `bore` mm. Raises ValueError beyond the table."""
    for largest, outer in _BUSHES:
        if bore <= largest + 1e-9:
            return outer
    raise ValueError(f"no bush for a bore of {bore:g} mm: 15 at most")
