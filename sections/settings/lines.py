"""In which line of a parameter file a key stands."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path

from sections.errors import PARAMETERS, BadInput, Problem
from sections.settings.layers import Key, read_layers

_HEADING = re.compile(r"^\s*(\[\[?)\s*([^\[\]]+?)\s*\]\]?\s*(#.*)?$")
_STEP = re.compile(r"[A-Za-z0-9_-]+")
_KEY = re.compile(r"^\s*([A-Za-z0-9_.\-\"']+)\s*=")


def located(error: BadInput, parameters: Path) -> BadInput:
    """Return an error that was raised on settings alone, with the file and the line of each key it speaks of."""
    layers = read_layers(parameters)

    def placed(problem: Problem) -> Problem:
        if problem.file != PARAMETERS:
            return problem
        key = tuple(int(step) - 1 if step.isdigit() else step for step in _STEP.findall(problem.key))
        file = layers.file_of(key, parameters)
        return replace(problem, file=str(file), line=line_of(file, key) or 0)

    return BadInput([placed(problem) for problem in error.problems])


def line_of(path: Path, key: Key) -> int | None:
    """Return the line, from 1, of a key in a TOML file, or of what it lies in as far as that is found; None where the
    file does not have it. Of a list over several lines, the line its item begins in."""
    try:
        lines = path.read_text("utf-8").splitlines()
    except (OSError, UnicodeDecodeError):
        return None
    best, depth = None, 0
    counts: dict[tuple[str, ...], int] = {}
    at: Key = ()
    for number, line in enumerate(lines, 1):
        heading, assigned = _HEADING.match(line), _KEY.match(line)
        if heading:
            at = _table(heading, counts)
            here = at
        elif assigned:
            here = (*at, *assigned[1].replace('"', "").replace("'", "").split("."))
        else:
            continue
        if here == key[: len(here)] and len(here) > depth:
            best, depth = number, len(here)
        elif best is None and key == here[: len(key)]:
            best, depth = number, len(key)
    if best is None or depth >= len(key) or not isinstance(key[depth], int):
        return best
    return _item(lines, best, key[depth]) or best


def _table(heading: re.Match, counts: dict[tuple[str, ...], int]) -> Key:
    """Return the key of a table's heading, of a list's the number of the item it begins."""
    names = tuple(name.strip().strip("\"'") for name in heading[2].split("."))
    if heading[1] == "[[":
        counts[names] = counts.get(names, -1) + 1
    key: list[str | int] = []
    for end, name in enumerate(names, 1):
        key.append(name)
        if names[:end] in counts:
            key.append(counts[names[:end]])
    return tuple(key)


def _item(lines: list[str], first: int, number: int) -> int | None:
    """Return the line an item of a list begins in, which begins in line `first`: one inline table a line."""
    found = -1
    for place, line in enumerate(lines[first - 1 :], first):
        text = line.split("#")[0]
        found += text.count("{")
        if found >= number:
            return place
        if "]" in text and place > first and text.strip().startswith("]"):
            return None
    return None
