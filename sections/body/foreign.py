"""Files and scripts of a builder, read in a process that may be lost.

A STEP file with shuffled or self-referring entities brings the CAD kernel down, and its process with it; a script may
do anything.
"""

from __future__ import annotations

import os
import sys
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass
from pathlib import Path

from OCP.TopoDS import TopoDS_Shape

from sections.body.files_read import FilesRead
from sections.body.script import run_script
from sections.errors import BadInput, BuildFailed, Problem
from sections.processes.apart import ProcessLost, call_apart
from sections.solids.brep_bytes import brep_bytes, shape_of_brep
from sections.solids.exact_solid import ExactSolid
from sections.solids.step_parts import step_parts
from sections.solids.step_read import read_step
from sections.solids.step_take import Take, parts_taken
from sections.solids.write_step import step_bytes

# s, and s for each MB of a file: what a slow machine needs ten times over.
_LIMIT, _PER_MB = 60.0, 5.0
# s; a script may model for long.
_SCRIPT_LIMIT = 1800.0


# What scripts read while somebody asks for it, by its name as a source.
_NOTED: ContextVar[dict[str, str] | None] = ContextVar("files that scripts read", default=None)


@contextmanager
def noting_files() -> Iterator[dict[str, str]]:
    """Give a table that what scripts read from here on is noted in, by its name as a source: files, modules a script
    imports too, names in folders, environment variables; nothing of libraries."""
    noted: dict[str, str] = {}
    before = _NOTED.set(noted)
    try:
        yield noted
    finally:
        _NOTED.reset(before)


def note_files(read: dict[str, str]) -> None:
    """Note what scripts read, each as it was, by its name as a source, where somebody asks for it."""
    noted = _NOTED.get()
    if noted is not None:
        noted.update(read)


@dataclass(frozen=True)
class PartLine:
    """A part of a STEP file as it is listed. size : mm, along x, y, z."""

    kind: str
    names: tuple[str, ...]
    layers: tuple[str, ...]
    size: tuple[float, float, float]


def foreign_step(path: Path, take: Take = None) -> tuple[TopoDS_Shape, str]:
    """Return (shape, mm; the length unit the file states, "?" for none). take : what of it, None for all.

    Raises BadInput for a file that cannot be read, and for one that brings its process down.
    """
    kept, unit = _apart(path, _read, path, take)
    return shape_of_brep(kept), unit


def foreign_parts(path: Path) -> list[PartLine]:
    """Return the parts of a STEP file in its own order. Raises BadInput."""
    return _apart(path, _list, path)


def foreign_script(script: str, folder: Path, key: str, dimensions: dict[str, float] | None = None) -> TopoDS_Shape:
    """Return the shape that "file.py:callable", relative to `folder`, returns, as it comes back from a STEP file.
    dimensions : values by name, which it may take.

    OCC triangulates the two alike but not equally, and a joint at the limit of its room would sit elsewhere: so a body
    gives the same sections from its script and from the file written of it. Raises BadInput.
    """
    try:
        kept, read = call_apart(_run, script, folder, key, dimensions or {}, limit=_SCRIPT_LIMIT)
    except ProcessLost as lost:
        limit = f"a script that runs and returns a shape; its process: {lost.why}"
        raise BadInput([Problem(str(folder / script.partition(":")[0]), key, script, limit, "fix it")]) from None
    note_files(read)
    return shape_of_brep(kept)


def _apart(path: Path, function, *args):
    try:
        return call_apart(function, *args, limit=_LIMIT + _PER_MB * path.stat().st_size / 1e6)
    except ProcessLost as lost:
        limit = f"a STEP file that the CAD kernel can read; the process that read it: {lost.why}"
        raise BadInput([Problem(str(path), "body", "", limit, "export it again, from the modeller itself")]) from None


def _read(path: Path, take: Take) -> tuple[bytes, str]:
    shape, unit = read_step(path)
    return brep_bytes(shape if take is None else parts_taken(path, take)), unit


def _list(path: Path) -> list[PartLine]:
    return [PartLine(one.kind, one.names, one.layers, _size(one.shape)) for one in step_parts(path)]


def _size(shape: TopoDS_Shape) -> tuple[float, float, float]:
    low, high = ExactSolid(shape).loose_bounds
    return tuple(float(extent) for extent in high - low)


def _run(script: str, folder: Path, key: str, dimensions: dict[str, float]) -> tuple[bytes, dict[str, str]]:
    """Return (a script's shape as it comes back from STEP; what it read, each as it was, by its name)."""
    read = FilesRead()
    read.watch()
    # What Python kept of a module beside the script is looked for below a file, where there is none: an edit within the
    # same second, of the same length, would else be passed over.
    sys.pycache_prefix = os.devnull
    shape = run_script(script, folder, key, dimensions)
    states = read.states(folder / script.partition(":")[0])
    with tempfile.TemporaryDirectory(prefix="sections-") as held:
        path = Path(held) / "body.step"
        try:
            path.write_bytes(step_bytes(shape, "body"))
        except BuildFailed as error:
            limit = f"a shape that can be written as STEP ({error})"
            raise BadInput([Problem(script, key, "", limit, "return a solid")]) from error
        return brep_bytes(read_step(path)[0]), states
