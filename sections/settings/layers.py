"""Reading a parameter file and the files it extends, keeping which file each key came from."""

from __future__ import annotations

import os
import tomllib
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from sections.errors import BadInput, Problem
from sections.numbers.words import CONTROL, printable
from sections.settings.plain_text import read_plain_text

Key = tuple[str | int, ...]

# Keys that name a file beside the one they stand in.
_NAMES_A_FILE = ("file", "script")
# What a parameter file of a person is far from.
_DEEPEST, _MOST_VALUES, _LARGEST_NUMBER, _LONGEST_CHAIN, _MOST_FILES = 24, 50_000, 10**15, 16, 64
_DEPTH_LIMIT = f"tables and lists at most {_DEEPEST} deep in one another"


@dataclass(frozen=True)
class FileLayers:
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


def read_layers(path: Path) -> FileLayers:
    """Return the parameter file `path` merged over all it extends, the files they name as seen from its own folder.
    Raises BadInput."""
    merged: dict = {}
    source: dict[Key, Path] = {}
    for file, table in _files(path, ()):
        way = Path(os.path.relpath(file.parent.resolve(), path.parent.resolve()))
        _merge(merged, table if way == Path() else _with_way(table, way), (), file, source)
    return FileLayers(merged, source)


def names_of_files(data: dict) -> Iterator[tuple[Key, str]]:
    """Yield every name of a file or a script in merged tables, with its key."""
    level: list[tuple[Key, Any]] = [((), data)]
    while level:
        level = [((*key, step), one) for key, value in level for step, one in _items(value)]
        yield from ((key, one) for key, one in level if key[-1] in _NAMES_A_FILE and isinstance(one, str))


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
    # Looked at before it is resolved, which a name that is none, or a link to itself, would not survive.
    if "\0" in str(path):
        raise _bad(above[-1], "extends", repr(str(path)), "a name a file can have", "correct the name")
    resolved = Path(os.path.realpath(path))
    if resolved in above:
        loop = " -> ".join(p.name for p in [*above, resolved])
        raise _bad(path, "extends", str(path), f"files extend one another in a ring: {loop}",
                   "take one of the extends keys out")  # fmt: skip
    if len(above) >= _LONGEST_CHAIN:
        limit = f"at most {_LONGEST_CHAIN} files that extend one another in turn"
        raise _bad(above[-1], "extends", str(path), limit, "take some of them together")
    table = read_toml(path, above[-1] if above else None)
    base = table.pop("extends", [])
    bases = [base] if isinstance(base, str) else base
    if not isinstance(bases, list) or not all(isinstance(one, str) for one in bases):
        limit = "the name of a file in quotes, or a list of such names"
        raise _bad(path, "extends", repr(base), limit, 'write extends = "base.toml"')
    files = []
    for one in bases:
        files += _files(path.parent / one, (*above, resolved))
        if len(files) > _MOST_FILES:
            limit = f"at most {_MOST_FILES} files, one read twice counted twice"
            raise _bad(path, "extends", str(one), limit, "extend each file once")
    return [*files, (path, table)]


def read_toml(path: Path, extended_by: Path | None = None) -> dict:
    """Return the TOML of one file. Raises BadInput when it is missing, unreadable, not TOML, or past a sane size."""
    text = read_plain_text(path, extended_by, "extends" if extended_by else "(file)")
    try:
        table = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        fix = 'correct the line named above: text stands in quotes ("mm"), lists in [ ], rows of a table in { }'
        raise _bad(path, "(file)", "", f"valid TOML: {error}", fix) from None
    except RecursionError:
        raise _bad(path, "(file)", "", _DEPTH_LIMIT, "write it flatter") from None
    except ValueError as error:
        # Python reads no number of thousands of digits.
        raise _bad(path, "(file)", "", f"numbers that can be read ({error})", "write fewer digits") from None
    _refuse_excess(path, table)
    return table


def _refuse_excess(path: Path, table: dict) -> None:
    """Refuse a file that nests too deep, holds too much, or has text no terminal should be sent."""
    level: list[tuple[Key, Any]] = [((), table)]
    count = 0
    for _ in range(_DEEPEST):
        level = [((*key, step), one) for key, value in level for step, one in _items(value)]
        count += len(level)
        if count > _MOST_VALUES:
            limit = f"at most {_MOST_VALUES} keys and values"
            raise _bad(path, "(file)", "", limit, "take out what is not needed")
        for key, value in level:
            texts = [text for text in (key[-1], value) if isinstance(text, str)]
            if any(CONTROL.search(text) for text in texts):
                shown = printable(".".join(map(str, key)))
                raise _bad(path, shown, "", "text without control characters", "write it anew")
            if isinstance(value, int) and abs(value) > _LARGEST_NUMBER:
                shown = ".".join(map(str, key))
                raise _bad(path, shown, "", f"a number of at most {_LARGEST_NUMBER:.0e}", "write fewer digits")
    if level:
        raise _bad(path, "(file)", "", _DEPTH_LIMIT, "write it flatter")


def _items(value: Any) -> Iterable[tuple[str | int, Any]]:
    if isinstance(value, dict):
        return value.items()
    return enumerate(value) if isinstance(value, list) else ()


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
