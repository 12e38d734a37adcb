"""Writing parts that are printed flat on one face and have no exact solid: drill guides, pieces of a jig."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from sections.building.settle import settle
from sections.export.files import PRINT_FORMATS, PartFiles, write_part
from sections.export.manifest import Kind, PartRecord
from sections.plan.pose import Down, Pose, beds_of, choose_pose
from sections.settings import Settings
from sections.solids.print_solid import PrintSolid


@dataclass(frozen=True)
class FlatPart:
    """A part to write: its id and kind, the folder below the output's, its solid in the vehicle frame, the face it lies
    on, the ids of its neighbours and joints."""

    id: str
    kind: Kind
    folder: str
    solid: PrintSolid
    down: Down
    neighbours: tuple[str, ...] = ()
    joints: tuple[str, ...] = ()


def write_flat(settings: Settings, part: FlatPart, root: Path) -> tuple[PartRecord, Pose]:
    """Write STL and 3MF of one part as the settings ask, below `root`; return its record and how it lies. Raises
    BuildFailed."""
    pose = choose_pose(part.solid.corners, [part.down], beds_of(settings))
    printed = settle(part.solid, pose.frame, pose.growth, part.id)
    volume = printed.unstretched(pose.growth).volume_mm3
    formats = [name for name in settings.output.formats if name in PRINT_FORMATS]
    files = write_part(PartFiles(part.id, part.folder, printed), root, formats, settings.material.name)
    grams = volume * settings.material.density / 1000
    size = tuple(float(s) for s in printed.size)
    record = PartRecord(
        part.id, part.kind, 1, False, files, volume, grams, size, "", part.neighbours, part.joints,
        growth=pose.growth,
    )  # fmt: skip
    return record, pose
