"""Writing the files of one part."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from sections import __version__
from sections.export.manifest import FileRecord, record_file
from sections.numbers.mesh import Mesh
from sections.solids.write_3mf import threemf_bytes
from sections.solids.write_stl import stl_bytes

# Formats a part is printed from.
PRINT_FORMATS = ("stl", "3mf")


@dataclass(frozen=True)
class PartFiles:
    """What one part's files are made from.

    mesh : as it is printed. step : returns the STEP file; None where it has none, or not yet.
    """

    id: str
    folder: str
    mesh: Mesh
    step: Callable[[], bytes] | None = None


def write_part(part: PartFiles, root: Path, formats: list[str], material: str) -> tuple[FileRecord, ...]:
    """Write a part's files below `root` and return their records."""
    return write_files(part.id, part.folder, part_files(part, formats, material), root)


def part_files(part: PartFiles, formats: list[str], material: str) -> tuple[tuple[str, bytes], ...]:
    """Return a part's files, (format, content) each."""
    makers = {
        "stl": lambda: stl_bytes(part.mesh),
        "3mf": lambda: _threemf(part, material),
        "step": part.step,
    }
    return tuple((name, makers[name]()) for name in formats if makers[name] is not None)


def write_files(name: str, folder: str, files: tuple[tuple[str, bytes], ...], root: Path) -> tuple[FileRecord, ...]:
    """Write files, (format, content) each, of the part `name` to a folder below `root`; return their records."""
    records = []
    for kind, content in files:
        path = Path(folder) / f"{name}.{kind}"
        (root / path).parent.mkdir(parents=True, exist_ok=True)
        (root / path).write_bytes(content)
        records.append(record_file(kind, path, content))
    return tuple(records)


def _threemf(part: PartFiles, material: str) -> bytes:
    facts = {
        "Title": part.id,
        "Application": f"Body Sections {__version__}",
        "Description": f"print in {material}",
    }
    return threemf_bytes(part.mesh, part.id, facts)
