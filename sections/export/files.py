"""Writing the files of one part."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from sections import __version__
from sections.export.manifest import FileRecord, record_file
from sections.numbers.frame import Frame
from sections.numbers.mesh import Mesh
from sections.solids.write_3mf import threemf_bytes
from sections.solids.write_stl import stl_bytes

# Formats a part is printed from.
PRINT_FORMATS = ("stl", "3mf")


@dataclass(frozen=True)
class PartFiles:
    """What one part's files are made from.

    mesh : in print coordinates. pose : the bed's frame in the vehicle frame, for STEP, which stays in the vehicle
    frame. step : returns the STEP file; left out, the mesh itself is written as a tessellated shell.
    """

    id: str
    folder: str
    mesh: Mesh
    pose: Frame
    step: Callable[[], bytes] | None = None


def write_part(part: PartFiles, root: Path, formats: list[str], material: str) -> tuple[FileRecord, ...]:
    """Write a part's files below `root` and return their records."""
    makers = {
        "stl": lambda: stl_bytes(part.mesh),
        "3mf": lambda: _threemf(part, material),
        "step": lambda: _step(part),
    }
    records = []
    for name in formats:
        content = makers[name]()
        path = Path(part.folder) / f"{part.id}.{name}"
        (root / path).parent.mkdir(parents=True, exist_ok=True)
        (root / path).write_bytes(content)
        records.append(record_file(name, path, content))
    return tuple(records)


def _threemf(part: PartFiles, material: str) -> bytes:
    facts = {
        "Title": part.id,
        "Application": f"Body Sections {__version__}",
        "Description": f"print in {material}",
    }
    return threemf_bytes(part.mesh, part.id, facts)


def _step(part: PartFiles) -> bytes:
    if part.step is not None:
        return part.step()
    from sections.solids.write_step import tessellated_step_bytes

    return tessellated_step_bytes(part.pose.place(part.mesh), part.id)
