"""Expressions in a parameter file worked out: dimensions first, then every key that takes a number."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from types import UnionType
from typing import Annotated, Any, Literal, Union, get_args, get_origin

from pydantic import BaseModel

from sections.settings.expressions import ExpressionError, reckoned, words_in
from sections.settings.layers import Key
from sections.settings.problems import dotted, model_at
from sections.settings.quantity import FUNCTIONS, UNITS, Quantity

TABLE = "dimensions"
# What a key's description begins with says what it is in: powers of mm and of deg.
_KINDS = {"mm": (1.0, 0.0), "deg": (0.0, 1.0)}

# Key, value, what it must be, what to change.
Wrong = tuple[Key, str, str, str]


class _Dimensions(Mapping[str, Quantity]):
    """Dimensions, each worked out when it is first asked for."""

    def __init__(self, given: dict[str, dict]):
        """Take their tables as given. open : those under way, to find rings by. lost : those that cannot be worked
        out, each of which is said once."""
        self.given = given
        self.known: dict[str, Quantity] = {}
        self.open: list[str] = []
        self.lost: set[str] = set()

    def __contains__(self, name: object) -> bool:
        return name in self.given

    def __iter__(self) -> Iterator[str]:
        return iter(self.given)

    def __len__(self) -> int:
        return len(self.given)

    def __getitem__(self, name: str) -> Quantity:
        """Return a dimension. Raises ExpressionError for one that cannot be worked out."""
        if name in self.known:
            return self.known[name]
        if name in self.open:
            ring = " -> ".join([*self.open[self.open.index(name) :], name])
            raise ExpressionError(f"dimensions that do not hang on themselves: {ring}", "break the ring")
        value, unit = self.given[name].get("value"), self.given[name].get("unit", "mm")
        if unit not in UNITS or isinstance(value, bool) or not isinstance(value, int | float | str):
            raise ExpressionError(f"dimension {name}, which is not sound itself", "correct that one")
        if not isinstance(value, str):
            self.known[name] = Quantity.of(float(value), unit)
            return self.known[name]
        self.open.append(name)
        try:
            made = reckoned(value, self)
        finally:
            self.open.pop()
        asked = Quantity.of(1.0, unit)
        if not made.is_a(asked.length, asked.angle):
            remedy = "give it the unit it has; of two lengths the share is a plain number, so name both"
            raise ExpressionError(f"{asked.kind}, as its unit says, not {made.kind}", remedy)
        value = made.value * (UNITS[unit] if made.written else 1.0)
        self.known[name] = Quantity(value, asked.length, asked.angle)
        return self.known[name]


def worked_out(data: dict, model: type[BaseModel]) -> tuple[dict, list[Wrong]]:
    """Return (a parameter file's tables with every expression as a number; what is wrong with some, which stay as they
    are).

    model : of the whole file. A dimension that is one number or one expression becomes a table.
    """
    given = data.get(TABLE)
    if not isinstance(given, dict):
        given = {}
    tables = {name: one if isinstance(one, dict) else {"value": one} for name, one in given.items()}
    known = _Dimensions(tables)
    wrong: list[Wrong] = []
    for name, one in tables.items():
        if not name.isidentifier() or name in FUNCTIONS:
            limit = "a name of letters, figures and _, a letter first, that no function has"
            wrong.append(((TABLE, name), name, limit, "give it another name"))
        try:
            made = known[name]
        except ExpressionError as error:
            known.lost.add(name)
            if isinstance(one.get("value"), str):
                key = (TABLE, name, "value") if isinstance(given[name], dict) else (TABLE, name)
                wrong.append((key, repr(one["value"]), str(error), error.remedy))
            continue
        value = made.value / UNITS[one.get("unit", "mm")]
        tables[name] = {**one, "value": value}
        wrong += _past_its_limits(name, tables[name])
    rest = {key: value for key, value in data.items() if key != TABLE}
    made = _numbers(rest, (), _Work(rest, model, known, wrong))
    return ({**made, TABLE: tables} if given else made), wrong


def _past_its_limits(name: str, one: dict) -> Iterator[Wrong]:
    for word, sign in (("least", 1.0), ("most", -1.0)):
        limit = one.get(word)
        if isinstance(limit, int | float) and not isinstance(limit, bool) and sign * (one["value"] - limit) < 0:
            unit = one.get("unit", "mm")
            more = f"{limit:g} {unit} or {'more' if sign > 0 else 'less'}, its own limit"
            yield (TABLE, name), f"{one['value']:g}", more.replace("  ", " "), f"give it a value within, or move {word}"


@dataclass(frozen=True)
class _Work:
    """What is at hand as the tables are walked. data : all of them as given."""

    data: dict
    model: type[BaseModel]
    known: _Dimensions
    wrong: list[Wrong]


def _numbers(value: Any, key: Key, work: _Work) -> Any:
    """Return a value of the file with the expressions in it as numbers."""
    if isinstance(value, dict):
        return {name: _numbers(one, (*key, name), work) for name, one in value.items()}
    if isinstance(value, list):
        return [_numbers(one, (*key, number), work) for number, one in enumerate(value)]
    return _number(value, key, work) if isinstance(value, str) else value


def _number(value: str, key: Key, work: _Work) -> Any:
    """Return what an expression comes to; text of other keys, and what cannot be worked out, as it is."""
    kind = _asked_at(key, work)
    if kind is None or (kind.text and not words_in(value) & set(work.known)):
        return value
    try:
        made = reckoned(value, work.known)
    except ExpressionError as error:
        if not words_in(value) & work.known.lost:
            work.wrong.append((key, repr(value), str(error), error.remedy))
        return value
    if kind.powers is not None and not made.is_a(*kind.powers):
        asked = Quantity(1.0, *kind.powers).kind
        work.wrong.append((key, repr(value), f"{asked}, not {made.kind}", f"look at the units of {dotted((TABLE,))}"))
        return value
    return int(made.value) if kind.whole and made.value.is_integer() else made.value


@dataclass(frozen=True)
class _Asked:
    """What a key takes. text : words, too. whole : whole numbers alone. powers : of mm and deg, None where not said."""

    text: bool
    whole: bool
    powers: tuple[float, float] | None


def _asked_at(key: Key, work: _Work) -> _Asked | None:
    """Return what a key asks for, None where that is no number."""
    names = [place for place, step in enumerate(key) if isinstance(step, str)]
    table = model_at(work.model, key[: names[-1]], work.data) if names else None
    asked = table.model_fields.get(key[names[-1]]) if table is not None else None
    if asked is None:
        return None
    kinds = set(_plain_kinds(asked.annotation))
    if not kinds & {float, int}:
        return None
    unit = (asked.description or "").partition(";")[0].partition(",")[0].strip()
    return _Asked(str in kinds, float not in kinds, _KINDS.get(unit))


def _plain_kinds(annotation: Any) -> Iterator[type]:
    """Yield the plain types that a field takes, in lists too; words of its own count as text."""
    origin = get_origin(annotation)
    if origin is Literal:
        yield from (type(word) for word in get_args(annotation))
    elif origin is Annotated:
        yield from _plain_kinds(get_args(annotation)[0])
    elif origin in (list, Union, UnionType):
        for one in get_args(annotation):
            yield from _plain_kinds(one)
    elif annotation in (float, int, str, bool):
        yield annotation
