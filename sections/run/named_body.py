"""A body's file as it is named on the command line: is it there, and in what unit?"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from sections.errors import BadInput, Problem
from sections.settings.body import MM_PER


def parts_of_name(body: Path) -> tuple[Path, str]:
    """Return (the file of a body named on the command line, the function in it: "" for none, as in a STEP file)."""
    file, colon, function = str(body).partition(".py:")
    return (Path(f"{file}.py"), function) if colon else (body, "")


def source_complaints(key: str, body: Path, units: str | None) -> Iterator[Problem]:
    """Give what is wrong with a body's file, named on the command line by `key`, and with its unit."""
    if not parts_of_name(body)[0].is_file():
        yield Problem("(command line)", key, str(body), "a file that exists", "correct the name")
    if units is not None and units not in MM_PER:
        yield Problem("(command line)", "--units", units, f"one of {', '.join(MM_PER)}", "take one of these")


def known_unit(stated: str) -> str:
    """Return the length unit a file states. Raises BadInput when it states none, or one we do not know."""
    if stated not in MM_PER:
        limit = f"one of {', '.join(MM_PER)}; the file states no unit we know and none is guessed"
        raise BadInput([Problem("(command line)", "--units", "", limit, "give the unit the body was exported in")])
    return stated
