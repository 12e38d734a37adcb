"""All that sections keep off, as solids."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from sections.body.openings import given_solids
from sections.donor.wheel import wheel_envelope
from sections.numbers.mesh import Mesh
from sections.settings import Settings


@dataclass(frozen=True)
class KeepOut:
    """Something sections keep `gap` mm off. mesh : closed, vehicle frame."""

    id: str
    mesh: Mesh
    gap: float


def keep_outs(settings: Settings, folder: Path) -> tuple[KeepOut, ...]:
    """Return all that a body's sections keep off: [[keepouts]], [[wheels]] and the mirror images asked for.

    folder : where the parameter file lies. Raises BadInput.
    """
    made = []
    given = given_solids(settings.keepouts, "keepouts", settings.mesh.deviation, folder)
    gaps = {one.id: one.gap for one in settings.keepouts}
    for solid in given:
        made.append(KeepOut(solid.id, solid.mesh, gaps[solid.given]))
    for wheel in settings.wheels:
        mesh = wheel_envelope(wheel).mesh()
        made.append(KeepOut(wheel.id, mesh, wheel.gap))
        if wheel.mirror:
            made.append(KeepOut(f"{wheel.id}-mirrored", mesh.mirrored_y(), wheel.gap))
    return tuple(made)
