"""Turning a refused parameter file into problems a builder can act on."""

from __future__ import annotations

import difflib
import re
from itertools import zip_longest
from types import UnionType
from typing import Annotated, Any, Union, get_args, get_origin

from pydantic import BaseModel
from pydantic_core import ErrorDetails

from sections.settings.layers import Key
from sections.settings.renamed import new_name

_LIMITS = {
    "greater_than": "more than {gt}",
    "greater_than_equal": "{ge} or more",
    "less_than": "less than {lt}",
    "less_than_equal": "{le} or less",
    "too_short": "at least {min_length} of them; there are {actual_length}",
    "too_long": "at most {max_length} of them",
    "finite_number": "a finite number",
    "float_type": "a number, without quotes",
    "int_type": "a whole number",
    "string_type": "text in quotes",
    "bool_type": "true or false",
    "list_type": "a list in [ ]",
    "model_type": "a table",
    "dict_type": "a table",
    "model_attributes_type": "a table",
    "literal_error": "one of {expected}",
    "union_tag_invalid": "one of {expected_tags}",
    "union_tag_not_found": "a key `kind`",
    "missing": "given",
}


# What matches the patterns of keys.
_EXAMPLES = {
    r"^[a-z][1-9][0-9]{0,2}$": '"x1": a small letter and a number',
    r"^[+-][a-z][1-9][0-9]{0,2}$": '"+x2" or "-x2": a side of a seam',
    r"^[a-z]$": '"x": one small letter',
    r"^[a-z][a-z0-9_-]{0,39}$": '"my-body": small letters, figures, - and _, a letter first',
}


def problem_parts(error: ErrorDetails, model: type[BaseModel], data: dict) -> tuple[Key, str, str, str]:
    """Return (key path, value, limit, remedy) for one of pydantic's errors on `model` fed with `data`."""
    key = plain_key(error["loc"], data)
    kind = error["type"]
    if kind == "extra_forbidden":
        table = f"a key of [{dotted(key[:-1])}]" if len(key) > 1 else "a table or a key of this file"
        return key, _show(error["input"]), table, _nearest(key, model, data)
    if kind == "union_tag_invalid":
        key = (*key, "kind")
        error["input"] = error["ctx"]["tag"]
    if kind == "string_pattern_mismatch":
        return key, _show(error["input"]), _like(error["ctx"]["pattern"]), _remedy(key, kind, model, data)
    value = "" if kind in ("missing", "union_tag_not_found") else _show(error["input"])
    limit = _LIMITS.get(kind, error["msg"]).format(**error.get("ctx", {}))
    return key, value, limit, _meant(error["input"], limit) or _remedy(key, kind, model, data)


def _like(pattern: str) -> str:
    """Return in words, by examples, what text matches a pattern."""
    return f"text like {_EXAMPLES.get(pattern, pattern)}"


def _meant(value: Any, limit: str) -> str | None:
    """Return which of the words a value must be one of it comes near, as a question; None where it comes near none."""
    words = re.findall(r"'([^']+)'", limit) if limit.startswith("one of ") and isinstance(value, str) else []
    close = difflib.get_close_matches(value.lower(), words, n=1, cutoff=0.5) if words else []
    return f'did you mean "{close[0]}"?' if close else None


def plain_key(loc: tuple[str | int, ...], data: Any) -> Key:
    """Return `loc` without the tags pydantic adds for a table that comes in kinds."""
    key: list[str | int] = []
    here = data
    for step in loc:
        if isinstance(here, dict) and step not in here and here.get("kind") == step:
            continue
        key.append(step)
        if isinstance(here, dict):
            here = here.get(step)
        elif isinstance(here, list) and isinstance(step, int) and step < len(here):
            here = here[step]
    return tuple(key)


def dotted(key: Key) -> str:
    """Return a key path as it is spoken of: seams.planes[2].at (counted from 1)."""
    text = ""
    for step in key:
        text += f"[{step + 1}]" if isinstance(step, int) else f".{step}" if text else str(step)
    return text


def _remedy(key: Key, kind: str, model: type[BaseModel], data: dict) -> str:
    """Return what to change: the key's own description where the model has one."""
    table = model_at(model, key[:-1], data)
    name = key[-1]
    if table is not None and isinstance(name, str) and name in table.model_fields:
        said = table.model_fields[name].description or ""
        return f"add `{name}`: {said}" if kind == "missing" else f"{name} is: {said}"
    return "give a value the limit allows"


def _nearest(key: Key, model: type[BaseModel], data: dict) -> str:
    """Return what to write instead of an unknown key."""
    renamed = new_name(key)
    if renamed is not None:
        return f"renamed: write `{renamed}`"
    table = model_at(model, key[:-1], data)
    names = list(table.model_fields) if table is not None else []
    close = difflib.get_close_matches(str(key[-1]), names, n=1, cutoff=0.5)
    if close:
        return f"did you mean `{close[0]}`?"
    elsewhere = [dotted(path) for path in field_paths(model) if path[-1] == key[-1]]
    if elsewhere:
        return f"perhaps `{elsewhere[0]}`?"
    return f"take it out; the keys here are: {', '.join(names)}"


def model_at(model: type[BaseModel], key: Key, data: Any) -> type[BaseModel] | None:
    """Return the model that describes the table at `key`, or None when there is none."""
    here: type[BaseModel] | None = model
    named: type[BaseModel] | None = None
    for step, next_ in zip_longest(key, key[1:]):
        if isinstance(data, dict):
            data = data.get(step)
        elif isinstance(data, list) and isinstance(step, int) and step < len(data):
            data = data[step]
        if isinstance(step, int):
            continue
        if named is not None:
            # A table of tables: its keys are names of the user's own.
            here, named = named, None
            continue
        if here is None or step not in here.model_fields:
            return None
        annotation = here.model_fields[step].annotation
        if get_origin(annotation) is dict:
            here, named = None, next(iter(models_in(get_args(annotation)[1])), None)
            continue
        kinds = models_in(annotation)
        # Of a list of tables of several kinds, the one that is meant tells its kind.
        row = next_ if isinstance(next_, int) and isinstance(data, list) and next_ < len(data) else 0
        one = data[row] if isinstance(data, list) and data else data
        kind = one.get("kind") if isinstance(one, dict) else None
        here = next((k for k in kinds if kind in _tags(k)), kinds[0] if kinds else None)
    return here


def _tags(model: type[BaseModel]) -> tuple:
    field = model.model_fields.get("kind")
    return get_args(field.annotation) if field is not None else ()


def models_in(annotation: Any) -> list[type[BaseModel]]:
    """Return every table class an annotation speaks of."""
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return [annotation]
    if get_origin(annotation) in (list, dict, Annotated, Union, UnionType):
        return [model for arg in get_args(annotation) for model in models_in(arg)]
    return []


def field_paths(model: type[BaseModel], at: Key = ()) -> list[Key]:
    """Return the key path of every field below `model`."""
    paths: list[Key] = []
    for name, field in model.model_fields.items():
        paths.append((*at, name))
        for inner in models_in(field.annotation):
            paths.extend(field_paths(inner, (*at, name)))
    return paths


def _show(value: Any) -> str:
    text = repr(value)
    return text if len(text) <= 60 else text[:57] + "..."
