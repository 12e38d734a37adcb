"""What is written from the model of the parameter file: the JSON schema, the page of keys, a starter file."""

from __future__ import annotations

import json
from collections.abc import Iterator
from types import UnionType
from typing import Annotated, Any, Union, get_args, get_origin

from pydantic import BaseModel
from pydantic.fields import FieldInfo

from sections.settings.model import Settings
from sections.settings.table import INSTEAD

SCHEMA_NAME = "sections.schema.json"
_HEAD = """# Keys of a parameter file

Lengths in mm, angles in degrees. Vehicle frame: x grows rearward, y to the right, z up. `[table]` stands once,
`[[table]]` once for each thing. For completion in an editor, name the schema in the first line:
`#:schema sections.schema.json`.

Where a key takes a number it takes an expression too: `at = "wheelbase / 2 + 40"`, of dimensions by their names,
numbers, `+ - * / // % **`, brackets, `sqrt abs min max round floor ceil hypot sin cos tan asin acos atan atan2`. A
plain number in it counts as mm, or as deg where angles are asked for; lengths and angles are never added together.
"""


def schema_text() -> str:
    """Return the JSON schema of a parameter file, `extends` included, as text."""
    schema = Settings.model_json_schema()
    schema["properties"]["extends"] = {
        "anyOf": [{"type": "string"}, {"type": "array", "items": {"type": "string"}}],
        "description": "parameter files whose keys hold where this one has none, each over those before it",
    }
    # A file that extends another may leave to it what every whole file must have.
    schema.pop("required", None)
    _let_expressions_be(schema)
    for table in schema["$defs"].values():
        for name, key in table.get("properties", {}).items():
            if key.pop(INSTEAD, None) is not None:
                table["required"].remove(name)
    return json.dumps(schema, indent=1) + "\n"


def _let_expressions_be(schema: Any) -> None:
    """Let text stand wherever a number may: an expression."""
    for one in schema.values() if isinstance(schema, dict) else schema if isinstance(schema, list) else ():
        _let_expressions_be(one)
    if isinstance(schema, dict) and schema.get("type") in ("number", "integer"):
        schema["type"] = [schema["type"], "string"]


def keys_page() -> str:
    """Return every key of a parameter file as a page of Markdown, a table for each table; each shape once."""
    plain = [_row(name, field) for name, field in Settings.model_fields.items() if not list(_models(field.annotation))]
    extends = "| `extends` |  | parameter files whose keys hold where this one has none, each over those before it |"
    lines = [_HEAD, _table([plain[0], extends, *plain[1:]])]
    known: dict[type[BaseModel], str] = {}
    shapes: dict[tuple[str, ...], str] = {}
    for name, field in Settings.model_fields.items():
        kinds = list(_models(field.annotation))
        if not kinds:
            continue
        named = f"[{name}.NAME]" if get_origin(field.annotation) is dict else f"[{name}]"
        heading = f"[[{name}]]" if _is_list(field.annotation) else named
        lines.append(f"## `{heading}`\n\n{_sentence(field.description or '')}\n")
        lines += _kinds(kinds, heading, shapes) if len(kinds) > 1 else _one(kinds[0], known)
        known[kinds[0]] = heading
    return "\n".join(lines)


def _one(kind: type[BaseModel], known: dict[type[BaseModel], str]) -> list[str]:
    """Return the table of one kind; where its keys are those of a table before it and more, only those."""
    for base, heading in known.items():
        if issubclass(kind, base):
            own = [_row(n, f) for n, f in kind.model_fields.items() if n not in base.model_fields]
            return [f"The keys of `{heading}`, and:\n", _table(own)]
    return [_table(list(_rows(kind, "")))]


def _kinds(kinds: list[type[BaseModel]], heading: str, shapes: dict[tuple[str, ...], str]) -> list[str]:
    """Return what all kinds of a table have, then what each has; shapes described before are only named."""
    every = [list(_rows(kind, "")) for kind in kinds]
    common = [row for row in every[0] if all(row in rows for rows in every)]
    lines = [_table(common)]
    for kind, rows in zip(kinds, every, strict=True):
        tag = get_args(kind.model_fields["kind"].annotation)[0]
        own = tuple(row for row in rows if row not in common and not row.startswith("| `kind`"))
        if own in shapes:
            lines.append(f'`kind = "{tag}"`: as for `{shapes[own]}`.\n')
        else:
            shapes[own] = heading
            lines += [f'`kind = "{tag}"`:\n', _table(list(own))]
    return lines


def _table(rows: list[str]) -> str:
    return "\n".join(["| key | default | meaning |", "|---|---|---|", *rows]) + "\n"


def _sentence(text: str) -> str:
    return f"{text[:1].upper()}{text[1:]}."


def tables(skip: tuple[str, ...]) -> Iterator[tuple[str, str, list[tuple[str, Any, str]]]]:
    """Yield (table, what it is for, its keys with a default as (key, default, meaning)) for the plain tables."""
    for name, field in Settings.model_fields.items():
        kind = field.annotation
        if name in skip or not (isinstance(kind, type) and issubclass(kind, BaseModel)):
            continue
        keys = [(k, f.default, f.description or "") for k, f in kind.model_fields.items() if not f.is_required()]
        yield (
            name,
            field.description or "",
            [one for one in keys if one[1] is not None and not isinstance(one[1], BaseModel)],
        )


def _rows(model: type[BaseModel], at: str) -> Iterator[str]:
    """Yield a row for every key of a table, those of tables in it with their names before them."""
    for name, field in model.model_fields.items():
        kinds = list(_models(field.annotation))
        if not kinds:
            yield _row(f"{at}{name}", field)
        for kind in kinds:
            yield from _rows(kind, f"{at}{name}{'[]' if _is_list(field.annotation) else ''}.")


def _row(key: str, field: FieldInfo) -> str:
    return f"| `{key}` | {_default(field)} | {_meaning(field).replace('|', '/')} |"


def _is_list(annotation: Any) -> bool:
    return get_origin(annotation) is list


def _models(annotation: Any) -> Iterator[type[BaseModel]]:
    """Yield the tables an annotation holds, lists and unions looked through."""
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        yield annotation
    elif get_origin(annotation) in (list, dict, Annotated, Union, UnionType):
        for part in get_args(annotation):
            yield from _models(part)


def _default(field: FieldInfo) -> str:
    if field.is_required():
        other = field.json_schema_extra.get(INSTEAD) if isinstance(field.json_schema_extra, dict) else None
        return f"required, or `{other}`" if other else "required"
    return "" if field.default is None else f"`{json.dumps(field.default)}`"


def _meaning(field: FieldInfo) -> str:
    words = {"ge": ">= {}", "gt": "> {}", "le": "<= {}", "lt": "< {}"}
    limits = [
        text.format(f"{getattr(rule, name):g}")
        for rule in field.metadata
        for name, text in words.items()
        if isinstance(getattr(rule, name, None), int | float)
    ]
    return (field.description or "") + (f" ({', '.join(limits)})" if limits else "")
