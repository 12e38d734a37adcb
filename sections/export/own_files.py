"""What in an output folder a run of ours wrote, and what is the user's own and stays."""

from __future__ import annotations

import json
import os
import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from sections.cautions import CAUTIONS_NAME

# What a run wrote, and which command: a file of each output folder.
WRITTEN_NAME = ".written.json"
_MANIFEST = "manifest.json"
_OWN = {WRITTEN_NAME, _MANIFEST, "plan.json", "findings.json", CAUTIONS_NAME}


def note_written(folder: Path, command: str) -> None:
    """Write down all files now in a folder as written by a command."""
    files = sorted(path.relative_to(folder).as_posix() for path in folder.rglob("*") if path.is_file())
    text = json.dumps({"command": command, "files": files}, indent=1)
    (folder / WRITTEN_NAME).write_text(text + "\n", "utf-8")


def note_added(folder: Path, names: list[str]) -> None:
    """Add files to those written down in a folder."""
    noted = _read(folder / WRITTEN_NAME)
    noted["files"] = sorted({*_texts(noted.get("files")), *names})
    (folder / WRITTEN_NAME).write_text(json.dumps(noted, indent=1) + "\n", "utf-8")


def written_files(folder: Path) -> list[str]:
    """Return the paths, in order, of all files in a folder that runs of ours wrote there, and of those they write into
    every folder where it has them."""
    always = [name for name in _OWN if (folder / name).is_file()]
    return sorted({*_texts(_read(folder / WRITTEN_NAME).get("files")), *always})


def command_of(folder: Path) -> str | None:
    """Return the command whose output a folder holds, None where that is not written down."""
    command = _read(folder / WRITTEN_NAME).get("command")
    return command if isinstance(command, str) else None


def move_own(old: Path, new: Path) -> None:
    """Move what is the user's own in an old output, links and empty folders too, to the new one, never over a file
    there."""
    ours = _OWN | set(_texts(_read(old / WRITTEN_NAME).get("files"))) | set(_paths(_read(old / _MANIFEST)))
    _move(old, new, old, ours)


def _move(folder: Path, new: Path, old: Path, ours: set[str]) -> None:
    for entry in sorted(os.scandir(folder), key=lambda entry: entry.name):
        path = Path(entry.path)
        name = path.relative_to(old).as_posix()
        place = new / name
        if entry.is_dir(follow_symlinks=False):
            if not any(one.startswith(f"{name}/") for one in ours) and not os.path.lexists(place):
                shutil.move(path, place)
            else:
                _move(path, new, old, ours)
        elif name not in ours and not os.path.lexists(place):
            place.parent.mkdir(parents=True, exist_ok=True)
            path.rename(place)


def _read(path: Path) -> dict:
    """Return what a file of ours holds; nothing of one that is none, or damaged: all is then the user's."""
    try:
        found = json.loads(path.read_text("utf-8"))
    except (OSError, ValueError, RecursionError):
        return {}
    return found if isinstance(found, dict) else {}


def _texts(found: Any) -> list[str]:
    return [one for one in found if isinstance(one, str)] if isinstance(found, list) else []


def _paths(found: Any) -> Iterator[str]:
    """Yield all paths that a manifest names."""
    if isinstance(found, dict):
        for key, value in found.items():
            if key == "path" and isinstance(value, str):
                yield value
            else:
                yield from _texts(value) if key == "pictures" else _paths(value)
    elif isinstance(found, list):
        for one in found:
            yield from _paths(one)
