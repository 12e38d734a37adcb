"""All that sections keep off, as solids."""

from __future__ import annotations

from pathlib import Path

from sections.body.openings import given_solids
from sections.donor.kept_off import KeptOff
from sections.donor.wheel import wheel_envelope
from sections.settings import Settings


def keep_outs(settings: Settings, folder: Path) -> tuple[KeptOff, ...]:
    """Return all that a body's sections keep off: [[keepouts]], [[wheels]] and the mirror images asked for.

    folder : where the parameter file lies. Raises BadInput.
    """
    made = []
    given = given_solids(settings, "keepouts", folder)
    gaps = {one.id: one.gap for one in settings.keepouts}
    for solid in given:
        made.append(KeptOff(solid.id, solid.mesh, gaps[solid.given]))
    for wheel in settings.wheels:
        mesh = wheel_envelope(wheel).mesh()
        made.append(KeptOff(wheel.id, mesh, wheel.gap))
        if wheel.mirror:
            made.append(KeptOff(f"{wheel.id}-mirrored", mesh.mirrored_y(), wheel.gap))
    return tuple(made)
