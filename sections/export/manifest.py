"""manifest.json: what was made, from which parameters, with the digest of every file."""

from __future__ import annotations

import hashlib
import re
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, Literal

import numpy as np
from pydantic import TypeAdapter, ValidationError

from sections.errors import OutputRefused
from sections.numbers.mesh import NO_GROWTH, Growth

MANIFEST_SCHEMA = 1
MANIFEST_NAME = "manifest.json"

# What a part may be called; how many of one there may be; bytes of the largest file.
_ID = re.compile(r"[A-Za-z0-9][A-Za-z0-9 ._+-]{0,99}")
_MOST, _LARGEST = 1_000_000, 100_000_000_000

Kind = Literal["section", "dowel", "key", "coupon", "gauge", "jig", "guide", "clamp"]


@dataclass(frozen=True)
class FileRecord:
    """One file of a part: its path below the folder of the manifest, length and SHA-256."""

    format: str
    path: str
    bytes: int
    sha256: str


def record_file(kind: str, path: Path, content: bytes) -> FileRecord:
    """Return the record of a file. kind : its format. path : below the folder of the manifest."""
    return FileRecord(kind, path.as_posix(), len(content), hashlib.sha256(content).hexdigest())


@dataclass(frozen=True)
class PartRecord:
    """One part that can be printed or bought.

    size : as its print files have it, mm. growth : by what those are larger than the part they are to become, along the
    bed's x, y and upward. volume_mm3 : of the part. mass_g : solid, without infill. count : how many are needed.
    bought : not printed. step : how its STEP file holds the shape, "exact", "tessellated" or "faceted"; "" where it has
    none (yet). step_why : why it is not exact. neighbours, joints : ids. foot_height, foot_g : of the foot in its print
    files, mm and g; 0 without.
    """

    id: str
    kind: Kind
    count: int
    bought: bool
    files: tuple[FileRecord, ...]
    volume_mm3: float
    mass_g: float
    size: tuple[float, float, float]
    step: str
    neighbours: tuple[str, ...]
    joints: tuple[str, ...]
    step_why: str = ""
    growth: Growth = NO_GROWTH
    foot_height: float = 0.0
    foot_g: float = 0.0


@dataclass(frozen=True)
class Bought:
    """A bought item and how many are needed."""

    item: str
    count: int


@dataclass(frozen=True)
class Manifest:
    """Everything one run wrote.

    parameters_sha256 : of settings and body source. only : the one section built. pictures : their paths. papers :
    files that are of no one part, by product: the jig's sheets and jig.json, guides.json, the STEP file of the whole
    body. plan : plan.json, None where nothing was planned. settings : all keys of the parameter file, by table.
    sources : SHA-256 of each file that the settings name, and of those that scripts read, by path from the parameter
    file's folder.
    """

    schema: int
    tool: str
    version: str
    name: str
    parameters_sha256: str
    only: str | None
    notes: tuple[str, ...]
    parts: tuple[PartRecord, ...]
    bought: tuple[Bought, ...]
    pictures: tuple[str, ...]
    plan: FileRecord | None = None
    papers: dict[str, tuple[FileRecord, ...]] = field(default_factory=dict)
    settings: dict[str, Any] = field(default_factory=dict)
    sources: dict[str, str] = field(default_factory=dict)

    @property
    def files(self) -> list[tuple[str, FileRecord]]:
        """Every file of it, with the id of the part it is of."""
        files = [(part.id, file) for part in self.parts for file in part.files]
        files += [("plan", self.plan)] if self.plan is not None else []
        return files + [(product, file) for product, papers in self.papers.items() for file in papers]


_ADAPTER = TypeAdapter(Manifest)


def manifest_to_json(manifest: Manifest) -> str:
    """Return the manifest as JSON text."""
    return _ADAPTER.dump_json(manifest, indent=1).decode() + "\n"


def read_manifest(folder: Path) -> Manifest:
    """Return the manifest in a folder. Raises OutputRefused when there is none, or it cannot be one of ours."""
    path = folder / MANIFEST_NAME
    try:
        manifest = _ADAPTER.validate_json(path.read_text("utf-8"))
    except FileNotFoundError:
        raise OutputRefused(f"{path}: there is none; build first: sections build ...") from None
    except (ValidationError, UnicodeDecodeError, OSError) as error:
        why = str(error).splitlines()[0]
        raise OutputRefused(f"{path}: damaged or from another version ({why}); build again") from None
    wrong = _what_is_wrong(manifest, folder)
    if wrong is not None:
        raise OutputRefused(f"{path}: not as it was written ({wrong}); build again")
    return manifest


def _what_is_wrong(manifest: Manifest, folder: Path) -> str | None:
    """Return what no build writes: a file outside the folder, a name that is none, numbers that make no sense."""
    root, ids = folder.resolve(), [part.id for part in manifest.parts]
    wrong = ["two parts with one id"] if len(set(ids)) < len(ids) else []
    wrong += ["a part's id that is none" for name in ids if not _ID.fullmatch(name)]
    for name, file in manifest.files:
        if "\0" in file.path or not (folder / file.path).resolve().is_relative_to(root):
            wrong.append(f"a file of {name} that lies outside the folder")
        elif not 0 <= file.bytes <= _LARGEST:
            wrong.append(f"a file of {name} of {file.bytes} bytes")
    for part in manifest.parts:
        numbers = (part.volume_mm3, part.mass_g, *part.size, *part.growth, part.foot_height, part.foot_g)
        if not np.isfinite(numbers).all() or min(numbers) < 0 or min(part.growth) <= 0:
            wrong.append(f"sizes of {part.id} that none can have")
        elif not 0 <= part.count <= _MOST:
            wrong.append(f"{part.count} of {part.id}")
    return wrong[0] if wrong else None
