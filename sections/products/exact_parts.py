"""Writing parts that have an exact solid of their own: loose hardware and test prints.

A left section is its right twin mirrored, except where joints cross the centre plane: what is cut on the two sides of
a seam differs, and such sections are made on their own.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import numpy as np

from sections.building.tools import solid_mesh
from sections.export.files import PartFiles, write_part
from sections.export.manifest import Kind, PartRecord
from sections.numbers.frame import Frame, make_frame
from sections.settings import Settings
from sections.settings.fit_values import machines_of
from sections.solids.write_step import step_bytes


@dataclass(frozen=True)
class ExactPart:
    """A part to write: its id and kind, the folder below the output's, its CadQuery solid, how many, bought or not."""

    id: str
    kind: Kind
    folder: str
    solid: object
    count: int = 1
    bought: bool = False


def write_exact(settings: Settings, part: ExactPart, root: Path) -> tuple[PartRecord, Frame]:
    """Write STEP, STL and 3MF of one part as the settings ask, not turned, its lowest corner at the bed's origin.

    Of several printers it is for the first. Returns its record, and the bed's frame in the part's own.
    """
    mesh = solid_mesh(part.solid, part.id)
    pose, growth = make_frame(mesh.bounds[0], np.eye(3)), machines_of(settings)[0].growth
    printed = pose.unplace(mesh).stretched(growth)
    content = PartFiles(part.id, part.folder, printed, lambda: step_bytes(part.solid.wrapped, part.id))
    files = write_part(content, root, settings.output.formats, settings.material.name)
    grams = mesh.volume_mm3 * settings.material.density / 1000
    size = tuple(float(s) for s in printed.size)
    record = PartRecord(
        part.id, part.kind, part.count, part.bought, files, mesh.volume_mm3, grams, size, "exact", (), (),
        growth=growth,
    )  # fmt: skip
    return record, pose
