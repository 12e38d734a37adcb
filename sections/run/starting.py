"""Writing a starter parameter file for a body."""

from __future__ import annotations

import os
import re
import tomllib
from collections.abc import Callable
from pathlib import Path

import numpy as np

from sections.body import Body, load_body
from sections.body.visible_skin import shown_skin
from sections.errors import BadInput, Problem
from sections.export.stage import write_whole
from sections.plan.pose import beds_of
from sections.run.inspecting import InspectionTask, repairing_lines
from sections.run.named_body import known_unit, parts_of_name, source_complaints
from sections.scan.mirror import asymmetry
from sections.seaming.starting_grid import starting_grid
from sections.seaming.trial import rules_of, trial_shell
from sections.settings.body import BodyTable
from sections.settings.model import Settings
from sections.settings.rules_body import STEP_ENDINGS
from sections.settings.starter import StarterBody, starter_text

# mm; left free in the bed.
_AIR = 1.0


def start(
    parameters: Path, body: Path, units: str | None, scale: float = 1.0, say: Callable[[str], None] = lambda line: None
) -> list[str]:
    """Write a starter for `body` at `parameters`; return lines to show. Raises BadInput, OutputRefused.

    units : of the body's coordinates; needed where its file does not state one. scale : factor after the unit. A body
    that is refused as it is gets the lines with which it is taken, as `inspect` finds them; say : is given what is
    tried.
    """
    problems = list(_complaints(parameters, body, units, scale))
    if problems:
        raise BadInput(problems)
    folder = parameters.parent
    file, function = parts_of_name(body)
    kind, called = ("script", f":{function}") if function else ("file", "")
    place = f"{Path(os.path.relpath(file, folder)).as_posix()}{called}"
    name = re.sub(r"[^a-z0-9_-]+", "-", parameters.stem.lower()).strip("-_") or "body"
    name = name if name[0].isalpha() else f"body-{name}"
    # A script's shapes are CadQuery's own, in mm.
    unit = units or ("mm" if function else known_unit(_stated_unit(body)))
    table = BodyTable(**{kind: f"{file.resolve()}{called}"}, units=unit, scale=scale)
    settings = Settings(name=name[:40], body=table)
    needed: dict[str, list[str]] = {}
    try:
        loaded = load_body(settings, folder)
    except BadInput as refused:
        needed = _repairs(body, function, InspectionTask(unit, scale, settings.mesh.deviation), refused, say)
        settings = _with_lines(settings, needed)
        loaded = load_body(settings, folder)
    off, _ = asymmetry(loaded.skin, loaded.exact_points)
    symmetric = off if off <= settings.mesh.deviation else None
    cuts = _cuts(settings, loaded, mirrored=symmetric is not None)
    folder.mkdir(parents=True, exist_ok=True)
    source = f'{kind} = "{place}"'
    text = starter_text(StarterBody(name[:40], source, unit, scale, cuts, symmetric, needed))
    write_whole(parameters, text)
    apart = " --allow-outside" if place.startswith("..") or Path(place).is_absolute() else ""
    return [*loaded.notes, f"{parameters}: written; next: sections build {parameters}{apart}"]


def _cuts(settings: Settings, body: Body, *, mirrored: bool) -> tuple[tuple[float, ...], ...]:
    """Return where a body is cut along x, y and z to start from, mm. mirrored : whether it is its own mirror image."""
    skin, rooms = shown_skin(body), np.array([bed.room for bed in beds_of(settings)])
    rules = rules_of(settings, body, (), skin, rooms)
    return starting_grid(trial_shell(skin, rules.depths), rules, rooms[0] - _AIR, mirrored=mirrored)


def _repairs(
    body: Path, function: str, task: InspectionTask, refused: BadInput, say: Callable[[str], None]
) -> dict[str, list[str]]:
    """Return the lines by table with which a body is taken that was refused. Raises what refused it where there are
    none: a script has none."""
    say(f"{body.name} is refused as it is; trying what may repair it")
    lines = None if function else repairing_lines(body, task, say)
    if not lines:
        raise refused
    by_table: dict[str, list[str]] = {}
    for line in lines:
        if line.startswith("["):
            table = line.strip("[]")
        else:
            by_table.setdefault(table, []).append(line)
    return by_table


def _with_lines(settings: Settings, needed: dict[str, list[str]]) -> Settings:
    """Return settings with lines of a parameter file, by table, in them."""
    given = tomllib.loads("\n".join(f"[{table}]\n" + "\n".join(lines) for table, lines in needed.items()))
    data = settings.model_dump()
    return Settings.model_validate({**data, **{table: {**data[table], **keys} for table, keys in given.items()}})


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


def _stated_unit(body: Path) -> str:
    """Return the length unit the file itself states, or "?"."""
    if body.suffix.lower() in STEP_ENDINGS:
        from sections.body.foreign import foreign_step

        return foreign_step(body)[1]
    if body.suffix.lower() == ".3mf":
        from sections.solids.mesh_read import read_mesh

        return read_mesh(body)[1]
    return "?"
