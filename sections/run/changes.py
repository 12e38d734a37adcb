"""What a build came to that the one before it did not: keys of the parameter file, files it names, sections."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

from sections.errors import OutputRefused
from sections.export.files import PRINT_FORMATS
from sections.export.manifest import Manifest, read_manifest

# How many keys, and sections, are said by name.
_KEYS, _SECTIONS = 8, 12


def built_before(target: Path) -> Manifest | None:
    """Return the manifest of the output that a build takes the place of, None where there is none, or none of ours."""
    if not target.is_dir():
        return None
    try:
        return read_manifest(target)
    except OutputRefused:
        return None


def differing(before: Manifest, now: Manifest) -> list[str]:
    """Return the sections of both builds that would be printed from other files now."""
    old, new = prints_of(before), prints_of(now)
    return [name for name in new if name in old and new[name] != old[name]]


def changed_lines(before: Manifest, now: Manifest, off: dict[str, float | None]) -> list[str]:
    """Return what changed from one build to the next, a line each: what was asked, and what came out.

    off : mm, by how much the surface of each section that differs lies off what it was; None where that is not known.
    """
    asked = asked_changes(before.settings, before.sources, now)
    if before.version != now.version:
        asked.append(f"Body Sections {before.version} -> {now.version}")
    lines = [f"changed since the last build: {_some(asked, _KEYS, '; ')}"] if asked else []
    old, new = prints_of(before), prints_of(now)
    differ = sorted(differing(before, now), key=lambda name: -(off.get(name) or 0.0))
    far = [name if off.get(name) is None else f"{name} by up to {off[name]:.2g} mm" for name in differ]
    parts = [(far, "came out different"), ([n for n in new if n not in old], "new")]
    parts.append(([name for name in old if name not in new], "gone"))
    said = [f"{len(names)} {what} ({_some(names, _SECTIONS, ', ')})" for names, what in parts if names]
    same = len(new) - len(differ) - len(parts[1][0])
    return [*lines, f"sections: {'; '.join([*said, f'{same} as before'])}"]


def asked_changes(settings: dict[str, Any], sources: dict[str, str], now: Manifest) -> list[str]:
    """Return what is asked otherwise now than with settings, and files by their SHA-256, as they were: a few words for
    each key and each file."""
    return [*_keys(settings, now.settings), *_sources(sources, now.sources)]


def _some(names: list[str], most: int, between: str) -> str:
    more = f"{between}and {len(names) - most} more" if len(names) > most else ""
    return between.join(names[:most]) + more


def prints_of(manifest: Manifest) -> dict[str, tuple[str, ...]]:
    """Return what each section is printed from, by id: the digests of its print files."""
    return {
        part.id: tuple(file.sha256 for file in part.files if file.format in PRINT_FORMATS)
        for part in manifest.parts
        if part.kind == "section"
    }


def _sources(before: dict[str, str], now: dict[str, str]) -> Iterator[str]:
    for name in sorted({*before, *now}):
        if name in before and name in now and before[name] != now[name]:
            yield f"{name} itself"


def _keys(before: dict[str, Any], now: dict[str, Any]) -> Iterator[str]:
    """Yield each key that has another value now: "fits.key 0.2 -> 0.25"."""
    old, new = dict(_flat("", before)), dict(_flat("", now))
    for key in sorted({*old, *new}):
        was, is_now = old.get(key), new.get(key)
        # Of a row that is new or gone, the keys that say nothing are left out.
        if was != is_now and old and not {str(was), str(is_now)} <= {"None", "[]", "False"}:
            yield f"{key} {_value(was)} -> {_value(is_now)}"


def _flat(key: str, value: Any) -> Iterator[tuple[str, Any]]:
    """Yield (key, value) of all plain values of tables in one another; rows of a list by their ids where they have any,
    coordinates as one."""
    if isinstance(value, dict):
        for name, one in value.items():
            yield from _flat(f"{key}.{name}" if key else name, one)
    elif isinstance(value, list) and value and all(isinstance(one, dict) for one in value):
        for number, one in enumerate(value):
            yield from _flat(f"{key}.{one.get('id', number)}", {n: v for n, v in one.items() if n != "id"})
    else:
        yield key, value


def _value(value: Any) -> str:
    if isinstance(value, list):
        return f"[{', '.join(map(_value, value))}]"
    if value is None or isinstance(value, bool):
        return {None: "none", True: "true", False: "false"}[value]
    return f"{value:g}" if isinstance(value, float) else str(value)
