"""Reading a parameter file and the files it extends, keeping which file each key came from."""

from __future__ import annotations

import os
import tomllib
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from sections.errors import BadInput, Problem

Key = tuple[str | int, ...]

# Keys that name a file beside the one they stand in.
_NAMES_A_FILE = ("file", "script")


@dataclass(frozen=True)
class Layers:
    """A merged parameter file.

    data : nested dict as TOML gives it; a later file's tables merge into an earlier one's, its lists replace.
    source : for every key path, the file that set it.
    """

    data: dict
    source: dict[Key, Path]

    def file_of(self, key: Key, default: Path) -> Path:
        """Return the file that set `key`, or the nearest table above it, or `default`."""
        for end in range(len(key), 0, -1):
            if key[:end] in self.source:
                return self.source[key[:end]]
        return default


def read_layers(path: Path) -> Layers:
    """Return the parameter file `path` merged over all it extends, the files they name as seen from its own folder.
    Raises BadInput."""
    merged: dict = {}
    source: dict[Key, Path] = {}
    for file, table in _files(path, ()):
        way = Path(os.path.relpath(file.parent.resolve(), path.parent.resolve()))
        _merge(merged, table if way == Path() else _with_way(table, way), (), file, source)
    return Layers(merged, source)


def _with_way(value: Any, way: Path) -> Any:
    """Return tables with the names of files in them seen from another folder. way : from there to theirs."""
    if isinstance(value, list):
        return [_with_way(one, way) for one in value]
    if isinstance(value, dict):
        return {
            key: (way / one).as_posix() if key in _NAMES_A_FILE and isinstance(one, str) else _with_way(one, way)
            for key, one in value.items()
        }
    return value


def _files(path: Path, above: tuple[Path, ...]) -> list[tuple[Path, dict]]:
    """Return a file and all it extends, the first to hold first: what it extends in the order named, then itself.

    above : the files that led here. Raises BadInput.
    """
    resolved = path.resolve()
    if resolved in above:
        loop = " -> ".join(p.name for p in [*above, resolved])
        raise _bad(path, "extends", str(path), f"files extend one another in a ring: {loop}",
                   "take one of the extends keys out")  # fmt: skip
    table = read_toml(path, above[-1] if above else None)
    base = table.pop("extends", [])
    bases = [base] if isinstance(base, str) else base
    if not isinstance(bases, list) or not all(isinstance(one, str) for one in bases):
        limit = "the name of a file in quotes, or a list of such names"
        raise _bad(path, "extends", repr(base), limit, 'write extends = "base.toml"')
    under = [file for one in bases for file in _files(path.parent / one, (*above, resolved))]
    return [*under, (path, table)]


def read_toml(path: Path, extended_by: Path | None = None) -> dict:
    """Return the TOML of one file. Raises BadInput when it is missing, unreadable or not TOML."""
    key = "extends" if extended_by else "(file)"
    where = extended_by or path
    try:
        return tomllib.loads(path.read_text("utf-8"))
    except FileNotFoundError:
        raise _bad(where, key, str(path), "a file that exists", "check the name and the folder") from None
    except IsADirectoryError:
        raise _bad(where, key, str(path), "a file, not a folder", "name the .toml file itself") from None
    except PermissionError:
        raise _bad(where, key, str(path), "a file you may read", "change the file's permissions") from None
    except UnicodeDecodeError:
        raise _bad(path, "(file)", "", "text in UTF-8", "save the file as UTF-8 text") from None
    except tomllib.TOMLDecodeError as error:
        raise _bad(path, "(file)", "", f"valid TOML: {error}", "correct the line named above") from None


def _bad(path: Path, key: str, value: str, limit: str, remedy: str) -> BadInput:
    return BadInput([Problem(str(path), key, value, limit, remedy)])


def _merge(into: dict, table: dict, at: Key, file: Path, source: dict[Key, Path]) -> None:
    """Merge `table` into `into` in place: tables merge, everything else replaces."""
    for name, value in table.items():
        key = (*at, name)
        source[key] = file
        if isinstance(value, dict) and isinstance(into.get(name), dict):
            _merge(into[name], value, key, file, source)
        else:
            into[name] = value
