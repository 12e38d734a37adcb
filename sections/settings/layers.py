"""Reading a parameter file and the files it extends, keeping which file each key came from."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from pathlib import Path

from sections.errors import BadInput, Problem

Key = tuple[str | int, ...]


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
    """Return the parameter file `path` merged over all it extends. Raises BadInput."""
    chain: list[tuple[Path, dict]] = []
    seen: list[Path] = []
    current: Path | None = path
    while current is not None:
        resolved = current.resolve()
        if resolved in seen:
            loop = " -> ".join(p.name for p in [*seen, resolved])
            raise _bad(current, "extends", str(current), f"files extend one another in a ring: {loop}",
                       "take one of the extends keys out")  # fmt: skip
        seen.append(resolved)
        table = _read_toml(current, seen[-2] if len(seen) > 1 else None)
        base = table.pop("extends", None)
        chain.append((current, table))
        if base is not None and not isinstance(base, str):
            raise _bad(
                current,
                "extends",
                repr(base),
                "the name of one file, in quotes",
                'write extends = "base.toml"',
            )
        current = None if base is None else current.parent / base
    merged: dict = {}
    source: dict[Key, Path] = {}
    for file, table in reversed(chain):
        _merge(merged, table, (), file, source)
    return Layers(merged, source)


def _read_toml(path: Path, extended_by: Path | None) -> dict:
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
        raise _bad(path, "(file)", "", f"TOML: {error}", "mend the line named above") from None


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
