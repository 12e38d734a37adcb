"""The door: a parameter file in, valid Settings or every problem at once out."""

from __future__ import annotations

import copy
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from sections.errors import BadInput, Problem
from sections.settings.layers import Key, Layers, read_layers
from sections.settings.model import Settings
from sections.settings.problems import dotted, plain_key, problem_parts
from sections.settings.rules import RULES


def load_settings(path: Path) -> Settings:
    """Return the settings in `path` and all it extends. Raises BadInput with every problem found."""
    layers = read_layers(path)
    try:
        settings = Settings.model_validate(layers.data)
    except ValidationError as error:
        raise BadInput(_all_problems(error, layers, path)) from None
    problems = _contradictions(settings, layers, path)
    if problems:
        raise BadInput(problems)
    return settings


def _all_problems(error: ValidationError, layers: Layers, path: Path) -> list[Problem]:
    """Return the model's problems, and the contradictions among the keys that are sound."""
    problems = []
    bad: list[Key] = []
    for detail in error.errors():
        key, value, limit, remedy = problem_parts(detail, Settings, layers.data)
        problems.append(Problem(str(layers.file_of(key, path)), dotted(key), value, limit, remedy))
        bad.append(plain_key(detail["loc"], layers.data))
    rest = _with_stand_ins(_without(layers.data, bad))
    try:
        settings = Settings.model_validate(rest)
    except ValidationError:
        return problems
    known = tuple(problem.key for problem in problems)
    extra = _contradictions(settings, layers, path)
    return problems + [problem for problem in extra if not problem.key.startswith(known)]


def _with_stand_ins(data: dict) -> dict:
    """Return `data` with the keys that have no default filled in, so that the rules can look at the others."""
    return {**data, "name": data.get("name", "unnamed"), "body": {"units": "mm", **data.get("body", {})}}


def _without(data: dict, bad: list[Key]) -> dict:
    """Return a copy of `data` with the bad keys taken out, so that the rest can be looked at.

    A list with a bad item loses that item whole.
    """
    rest = copy.deepcopy(data)
    cuts = {_cut(key) for key in bad}
    for key in sorted(cuts, key=lambda k: [str(s).zfill(6) for s in k], reverse=True):
        here: Any = rest
        for step in key[:-1]:
            here = here.get(step) if isinstance(here, dict) else here
        if isinstance(here, dict):
            here.pop(key[-1], None)
        elif isinstance(here, list) and isinstance(key[-1], int) and key[-1] < len(here):
            here.pop(key[-1])
    return rest


def _cut(key: Key) -> Key:
    """Return the shortest path to take out for a bad key: the list item it lies in, or the key itself."""
    for end, step in enumerate(key):
        if isinstance(step, int):
            return key[: end + 1]
    return key


def _contradictions(settings: Settings, layers: Layers, path: Path) -> list[Problem]:
    """Return what the rules find, each rule over the whole settings."""
    problems = []
    for rule in RULES:
        for key, value, limit, remedy in rule(settings, path.parent):
            problems.append(Problem(str(layers.file_of(key, path)), dotted(key), value, limit, remedy))
    return problems
