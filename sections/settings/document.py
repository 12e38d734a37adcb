"""What is written from the model of the parameter file: the JSON schema, the README's table, a starter file.

`python -m sections.settings.document` writes the schema and the table into the repository.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path
from types import UnionType
from typing import Annotated, Any, Union, get_args, get_origin

from pydantic import BaseModel
from pydantic.fields import FieldInfo

from sections.settings.model import Settings

SCHEMA_NAME = "sections.schema.json"
TABLE_START, TABLE_END = "<!-- parameters: written by sections.settings.document -->", "<!-- parameters end -->"


def schema_text() -> str:
    """Return the JSON schema of a parameter file, `extends` included, as text."""
    schema = Settings.model_json_schema()
    schema["properties"]["extends"] = {
        "anyOf": [{"type": "string"}, {"type": "array", "items": {"type": "string"}}],
        "description": "parameter files whose keys hold where this one has none, each over those before it",
    }
    # A file that extends another may leave to it what every whole file must have.
    schema.pop("required", None)
    return json.dumps(schema, indent=1) + "\n"


def table_text() -> str:
    """Return every key of a parameter file as a Markdown table: key, default, meaning."""
    lines = ["| key | default | meaning |", "|---|---|---|"]
    lines += [f"| `{key}` | {default} | {meaning.replace('|', '/')} |" for key, default, meaning in _rows(Settings, "")]
    return "\n".join(lines) + "\n"


def with_table(readme: str) -> str:
    """Return a README with its table of parameters written anew. Raises ValueError when the marks are missing."""
    before, start, rest = readme.partition(TABLE_START)
    _, end, after = rest.partition(TABLE_END)
    if not start or not end:
        raise ValueError(f"no {TABLE_START} ... {TABLE_END}")
    return f"{before}{start}\n{table_text()}{end}{after}"


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


def _rows(model: type[BaseModel], at: str) -> Iterator[tuple[str, str, str]]:
    for name, field in model.model_fields.items():
        key = f"{at}{name}"
        inner = list(_models(field.annotation))
        if not inner:
            yield key, _default(field), _meaning(field)
        for kind in inner:
            many = get_origin(field.annotation) is list
            tag = kind.model_fields.get("kind")
            of = f" ({get_args(tag.annotation)[0]})" if len(inner) > 1 and tag is not None else ""
            yield from ((f"{k}{of}" if of else k, d, m) for k, d, m in _rows(kind, f"{key}{'[]' if many else ''}."))


def _models(annotation: Any) -> Iterator[type[BaseModel]]:
    """Yield the tables an annotation holds, lists and unions looked through."""
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        yield annotation
    elif get_origin(annotation) in (list, Annotated, Union, UnionType):
        for part in get_args(annotation):
            yield from _models(part)


def _default(field: FieldInfo) -> str:
    if field.is_required():
        return "required"
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


def main() -> None:
    """Write params/sections.schema.json and the README's table of parameters."""
    root = Path(__file__).parents[2]
    (root / "params" / SCHEMA_NAME).write_text(schema_text(), "utf-8")
    readme = root / "README.md"
    readme.write_text(with_table(readme.read_text("utf-8")), "utf-8")


if __name__ == "__main__":
    main()
