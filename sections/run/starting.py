"""Writing a starter parameter file for a body."""

from __future__ import annotations

import os
import re
from pathlib import Path

from sections.body import load_body
from sections.errors import BadInput, Problem
from sections.export.stage import write_whole
from sections.scan.mirror import asymmetry
from sections.settings.body import MM_PER, BodyTable
from sections.settings.model import Settings
from sections.settings.rules_body import STEP_ENDINGS
from sections.settings.starter import starter_text


def start(parameters: Path, body: Path, units: str | None, scale: float = 1.0) -> list[str]:
    """Write a starter for `body` at `parameters`; return lines to show. Raises BadInput, OutputRefused.

    units : of the body's coordinates; needed where its file does not state one. scale : factor after the unit.
    """
    problems = list(_complaints(parameters, body, units, scale))
    if problems:
        raise BadInput(problems)
    folder = parameters.parent
    file, function = _parts(body)
    kind, called = ("script", f":{function}") if function else ("file", "")
    place = f"{Path(os.path.relpath(file, folder)).as_posix()}{called}"
    name = re.sub(r"[^a-z0-9_-]+", "-", parameters.stem.lower()).strip("-_") or "body"
    name = name if name[0].isalpha() else f"body-{name}"
    # A script's shapes are CadQuery's own, in mm.
    unit = units or ("mm" if function else known_unit(_stated_unit(body)))
    table = BodyTable(**{kind: f"{file.resolve()}{called}"}, units=unit, scale=scale)
    settings = Settings(name=name[:40], body=table)
    loaded = load_body(settings, folder)
    off, _ = asymmetry(loaded.skin, loaded.exact_points)
    symmetric = off if off <= settings.mesh.deviation else None
    folder.mkdir(parents=True, exist_ok=True)
    text = starter_text(name[:40], f'{kind} = "{place}"', unit, scale, loaded.skin.bounds, symmetric)
    write_whole(parameters, text)
    apart = " --allow-outside" if place.startswith("..") or Path(place).is_absolute() else ""
    return [*loaded.notes, f"{parameters}: written; next: sections build {parameters}{apart}"]


def _complaints(parameters: Path, body: Path, units: str | None, scale: float):
    if parameters.suffix != ".toml":
        yield Problem("(command line)", "PARAMETERS", str(parameters), "a name ending in .toml", "add the ending")
    if parameters.exists():
        yield Problem(
            "(command line)", "PARAMETERS", str(parameters), "a file that is not there yet", "take another name"
        )
    yield from source_complaints("--body", body, units)
    if not 0 < scale <= 1e6:
        yield Problem("(command line)", "--scale", f"{scale:g}", "more than 0, at most 1e6", "give a factor")


def _parts(body: Path) -> tuple[Path, str]:
    """Return (the file of a body named on the command line, the function in it: "" for none, as in a STEP file)."""
    file, colon, function = str(body).partition(".py:")
    return (Path(f"{file}.py"), function) if colon else (body, "")


def source_complaints(key: str, body: Path, units: str | None):
    """Give what is wrong with a body's file, named on the command line by `key`, and with its unit."""
    if not _parts(body)[0].is_file():
        yield Problem("(command line)", key, str(body), "a file that exists", "correct the name")
    if units is not None and units not in MM_PER:
        yield Problem("(command line)", "--units", units, f"one of {', '.join(MM_PER)}", "take one of these")


def known_unit(stated: str) -> str:
    """Return the length unit a file states. Raises BadInput when it states none, or one we do not know."""
    if stated not in MM_PER:
        limit = f"one of {', '.join(MM_PER)}; the file states no unit we know and none is guessed"
        raise BadInput([Problem("(command line)", "--units", "", limit, "give the unit the body was exported in")])
    return stated


def _stated_unit(body: Path) -> str:
    """Return the length unit the file itself states, or "?"."""
    if body.suffix.lower() in STEP_ENDINGS:
        from sections.body.foreign import foreign_step

        return foreign_step(body)[1]
    if body.suffix.lower() == ".3mf":
        from sections.solids.mesh_read import read_mesh

        return read_mesh(body)[1]
    return "?"
