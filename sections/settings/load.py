"""The door: a parameter file in, valid Settings or every problem at once out."""

from __future__ import annotations

import copy
import os
import re
from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from difflib import get_close_matches
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from sections.errors import BadInput, Problem
from sections.settings.even_seams import with_even_seams
from sections.settings.expressions import words_in
from sections.settings.layers import FileLayers, Key, names_of_files, read_layers
from sections.settings.lines import line_of
from sections.settings.model import Settings
from sections.settings.problems import dotted, plain_key, problem_parts
from sections.settings.rules import RULES
from sections.settings.set_off_seams import with_set_off_seams
from sections.settings.working_out import TABLE, worked_out


@dataclass(frozen=True)
class Given:
    """What the command line gives beside a file. dimensions : values by name, as they are written. name : of the job,
    None for the file's own. allow_outside : files and scripts may lie elsewhere than beside the file, or below."""

    dimensions: dict[str, str] = field(default_factory=dict)
    name: str | None = None
    allow_outside: bool = False


def unused_dimensions(path: Path, settings: Settings) -> list[str]:
    """Return a line for each dimension that no key and no script takes, with the nearest name that one asks for."""
    data = read_layers(path).data
    own = data.pop(TABLE, {})
    texts = [*_texts(data), *(text for name in own for text in _texts(own[name]))]
    for _, name in names_of_files(data):
        script = path.parent / name.partition(":")[0]
        if script.suffix == ".py" and script.is_file():
            texts.append(script.read_text("utf-8", errors="replace"))
    words = set().union(*map(words_in, texts))
    lines = []
    for name in settings.dimensions:
        if name not in words:
            near = get_close_matches(name, words - set(settings.dimensions), 1)
            hint = f"; one asks for {near[0]}" if near else ""
            lines.append(f"{TABLE}.{name}: no key and no script takes it{hint}")
    return lines


def free_dimensions(path: Path, given: Given = Given()) -> list[str]:  # noqa: B008  (frozen)
    """Return the names of the dimensions that are numbers in themselves, not worked out from others."""
    own = _with_given(read_layers(path), given).data.get(TABLE, {})
    values = {name: one.get("value") if isinstance(one, dict) else one for name, one in own.items()}
    return [name for name, value in values.items() if isinstance(value, int | float)]


def _texts(value: Any) -> Iterator[str]:
    """Yield all texts in tables and lists in one another."""
    if isinstance(value, str):
        yield value
    elif isinstance(value, dict | list):
        for one in value.values() if isinstance(value, dict) else value:
            yield from _texts(one)


def load_settings(path: Path, given: Given = Given()) -> Settings:  # noqa: B008  (frozen)
    """Return the settings in `path` and all it extends. Raises BadInput with every problem found."""
    layers = _with_given(read_layers(path), given)
    if not given.allow_outside and (outside := list(_outside(layers, path))):
        raise BadInput(outside)
    data, wrong = worked_out(layers.data, Settings)
    for laid_out in (with_set_off_seams, with_even_seams):
        if not wrong:
            data, wrong = laid_out(data)
    if wrong:
        said = [_problem(layers, path, key, words) for key, *words in wrong]
        raise BadInput([*said, *_others(replace(layers, data=data), path, [key for key, *_ in wrong])])
    layers = replace(layers, data=data)
    try:
        settings = Settings.model_validate(data)
    except ValidationError as error:
        raise BadInput(_all_problems(error, layers, path)) from None
    problems = _contradictions(settings, layers, path, [])
    if problems:
        raise BadInput(problems)
    return settings


def _with_given(layers: FileLayers, given: Given) -> FileLayers:
    """Return a file's tables with what the command line gives in them. Raises BadInput for a dimension it lacks."""
    data, own = dict(layers.data), layers.data.get(TABLE)
    own = own if isinstance(own, dict) else {}
    for name, value in given.dimensions.items():
        if name not in own:
            near = get_close_matches(name, own, 1) or list(own)[:5]
            limit = f"a dimension of the file, such as {', '.join(near)}" if near else "a dimension; the file has none"
            raise BadInput([Problem("(command line)", "--set", f"{name}={value}", limit, "correct the name")])
        one = own[name] if isinstance(own[name], dict) else {}
        own = {**own, name: {**one, "value": _as_number(value)}}
    if given.dimensions:
        data[TABLE] = own
    if given.name is not None:
        data["name"] = given.name
    return replace(layers, data=data)


def _as_number(text: str) -> float | str:
    try:
        return float(text)
    except ValueError:
        return text


def _outside(layers: FileLayers, path: Path) -> Iterator[Problem]:
    """Yield what names a file or a script that lies in no folder of a parameter file, or below it: of the one that
    names it, or of those it extends."""
    folders = {path.parent, *(file.parent for file in layers.source.values())}
    for key, name in names_of_files(layers.data):
        file = layers.file_of(key, path)
        place = Path(os.path.realpath(path.parent / name.partition(".py:")[0]))
        if not any(place.is_relative_to(os.path.realpath(folder)) for folder in folders):
            limit = f"a file in the folder of {file.name}, or below it: a stranger's may name any file, and scripts run"
            remedy = "move it there, or give --allow-outside where you know both files"
            yield _problem(layers, path, key, (repr(name), limit, remedy))


def _others(layers: FileLayers, path: Path, wrong: list[Key]) -> list[Problem]:
    """Return what else is wrong with a file in which some expressions cannot be worked out. wrong : the keys reported
    already. Numbers that depend on those, and seams, are judged once they can be worked out."""
    try:
        Settings.model_validate(layers.data)
    except ValidationError as error:
        found = [
            problem
            for key, problem, left in _model_problems(error, layers, path)
            if not left and key[:1] != ("seams",) and not any(key[: len(one)] == one[: len(key)] for one in wrong)
        ]
        return _without_misspelt(found)
    return []


def _model_problems(error: ValidationError, layers: FileLayers, path: Path) -> Iterator[tuple[Key, Problem, bool]]:
    """Yield (key, problem, whether a text stands there in a number's place) of all that the model refuses."""
    for detail in error.errors():
        key, value, limit, remedy = problem_parts(detail, Settings, layers.data)
        text_for_number = isinstance(detail["input"], str) and detail["type"].startswith(("float_", "int_"))
        plain = plain_key(detail["loc"], layers.data)
        yield plain, _problem(layers, path, key, (value, limit, remedy)), text_for_number


def _all_problems(error: ValidationError, layers: FileLayers, path: Path) -> list[Problem]:
    """Return the model's problems, and the contradictions among the keys that are sound."""
    refused = list(_model_problems(error, layers, path))
    problems, bad = [problem for _, problem, _ in refused], [key for key, _, _ in refused]
    cuts = sorted({_cut(key) for key in bad}, key=lambda key: [str(step).zfill(6) for step in key])
    rest = _with_stand_ins(_without(layers.data, cuts))
    try:
        settings = Settings.model_validate(rest)
    except ValidationError:
        return _without_misspelt(problems)
    problems = _without_misspelt(problems)
    known = tuple(problem.key for problem in problems)
    extra = _contradictions(settings, layers, path, cuts)
    lost = [re.escape(name) for name in _names_of(layers.data, cuts)]
    # What speaks of an item with a mistake in it is reported once that is repaired.
    follows = re.compile(rf"(?<!\w)({'|'.join(lost)})(?!\w)") if lost else None
    return problems + [
        problem
        for problem in extra
        if not problem.key.startswith(known) and not (follows and follows.search(problem.value))
    ]


def _without_misspelt(problems: list[Problem]) -> list[Problem]:
    """Return problems less those of keys that are missing because they are misspelt: the misspelt one says so."""
    meant = {
        f"{problem.key.rpartition('.')[0]}.{word}" for problem in problems
        for word in re.findall(r"^did you mean `([^`]+)`\?$", problem.remedy)
    }  # fmt: skip
    return [problem for problem in problems if problem.limit != "given" or problem.key not in meant]


def _problem(layers: FileLayers, path: Path, key: Key, said: tuple[str, str, str]) -> Problem:
    """Return a problem of a key with the file and the line it stands in. said : value, what it must be, remedy."""
    file = layers.file_of(key, path)
    value, limit, remedy = said
    if value and not _is_given(layers.data, key):
        value = f"{value} (its default)"
    return Problem(str(file), dotted(key), value, limit, remedy, line_of(file, key) or 0)


def _is_given(data: Any, key: Key) -> bool:
    """Return whether a key stands in the files, or is of something that has no default."""
    for step in key:
        if isinstance(data, list) and isinstance(step, int):
            data = data[step] if step < len(data) else None
        elif isinstance(data, dict):
            if step not in data:
                return False
            data = data[step]
    return True


def _names_of(data: dict, cuts: list[Key]) -> Iterator[str]:
    """Yield the ids of the list items among keys cut out."""
    for cut in cuts:
        item: Any = data
        for step in cut:
            item = item[step] if isinstance(item, list) else item.get(step) if isinstance(item, dict) else None
        if isinstance(cut[-1], int) and isinstance(item, dict) and isinstance(item.get("id"), str):
            yield item["id"]


def _with_stand_ins(data: dict) -> dict:
    """Return `data` with the keys that have no default filled in, so that the rules can look at the others."""
    return {**data, "name": data.get("name", "unnamed"), "body": {"units": "mm", **data.get("body", {})}}


def _without(data: dict, cuts: list[Key]) -> dict:
    """Return a copy of `data` with keys taken out, in order of their lists, so that the rest can be looked at."""
    rest = copy.deepcopy(data)
    for key in reversed(cuts):
        here: Any = rest
        for step in key[:-1]:
            here = here.get(step) if isinstance(here, dict) else here
        if isinstance(here, dict):
            here.pop(key[-1], None)
        elif isinstance(here, list) and isinstance(key[-1], int) and key[-1] < len(here):
            here.pop(key[-1])
    return rest


def _cut(key: Key) -> Key:
    """Return the shortest path to take out for a bad key: the list item it lies in, whole, or the key itself."""
    for end, step in enumerate(key):
        if isinstance(step, int):
            return key[: end + 1]
    return key


def _as_written(key: Key, cuts: list[Key]) -> Key:
    """Return the key as it is in the file, of which list items were cut out, in order."""
    for cut in cuts:
        at = len(cut) - 1
        if isinstance(cut[at], int) and key[:at] == cut[:at] and len(key) > at and key[at] >= cut[at]:
            key = (*key[:at], key[at] + 1, *key[at + 1 :])
    return key


def _contradictions(settings: Settings, layers: FileLayers, path: Path, cuts: list[Key]) -> list[Problem]:
    """Return what the rules find, each rule over the whole settings. cuts : what the file has and settings do not."""
    problems = []
    for rule in RULES:
        for found, value, limit, remedy in rule(settings, path.parent):
            key = _as_written(found, cuts)
            problems.append(_problem(layers, path, key, (value, limit, remedy)))
    return problems
