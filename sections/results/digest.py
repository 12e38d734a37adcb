"""One name for equal things: the digest of plain values, arrays and dataclasses, by their contents.

Pickled bytes will not do: they tell two equal things apart by which of their parts are one object. joblib's hash is
made of pickled bytes, too.
"""

from __future__ import annotations

import dataclasses
import enum
import hashlib
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any, Protocol

import numpy as np
import shapely
from pydantic import BaseModel


class _Hash(Protocol):
    def update(self, data: bytes, /) -> None: ...


def digest_of(*things: Any) -> str:
    """Return the digest, 64 hexadecimal digits, of things by their contents.

    Plain values, bytes, tuples, lists and mappings (both in their order), arrays, enumerations, shapely's outlines,
    dataclasses and pydantic's tables, by their fields. Equal things of two kinds (a list and a tuple, 1 and 1.0) have
    two digests. Raises TypeError for anything else: what it cannot see into must not decide what is taken for equal.
    """
    taken = hashlib.sha256()
    _feed(taken, things)
    return taken.hexdigest()


def sha256_of(path: Path) -> str | None:
    """Return the SHA-256 of a plain file's bytes, 64 hexadecimal digits, None where there is none that can be read."""
    try:
        if not path.is_file():
            return None
        with path.open("rb") as file:
            return hashlib.file_digest(file, "sha256").hexdigest()
    except OSError:
        return None


def _feed(taken: _Hash, thing: Any) -> None:
    """Add one thing, told from all others by its kind and its length."""
    feed = next((feed for kinds, feed in _KINDS if isinstance(thing, kinds)), None)
    if feed is not None:
        feed(taken, thing)
    elif dataclasses.is_dataclass(thing) and not isinstance(thing, type):
        _feed_list(taken, [_name(thing), *(getattr(thing, field.name) for field in dataclasses.fields(thing))])
    else:
        raise TypeError(f"no digest of {_name(thing)}: it is not plain")


def _feed_list(taken: _Hash, things: list | tuple) -> None:
    _add(taken, type(things).__name__, str(len(things)).encode())
    for one in things:
        _feed(taken, one)


def _feed_array(taken: _Hash, array: np.ndarray) -> None:
    if array.dtype.hasobject:
        raise TypeError("no digest of an array of objects")
    _feed(taken, ("array", array.dtype.str, array.shape))
    _add(taken, "values", np.ascontiguousarray(array).tobytes())


def _add(taken: _Hash, kind: str, content: bytes) -> None:
    taken.update(f"{kind}:{len(content)}:".encode())
    taken.update(content)


def _name(thing: Any) -> str:
    kind = type(thing)
    return f"{kind.__module__}.{kind.__qualname__}"


# The first kind a thing is of counts: an enumeration may be a text, a truth value is a number.
_KINDS: tuple[tuple[type | tuple[type, ...], Callable[[_Hash, Any], None]], ...] = (
    (enum.Enum, lambda taken, thing: _feed_list(taken, [_name(thing), thing.name])),
    (
        (type(None), bool, int, np.integer, np.bool_),
        lambda taken, thing: _add(taken, _name(thing), str(thing).encode()),
    ),
    ((float, np.floating), lambda taken, thing: _add(taken, "float", float(thing).hex().encode())),
    (str, lambda taken, thing: _add(taken, "str", thing.encode())),
    (bytes, lambda taken, thing: _add(taken, "bytes", thing)),
    ((tuple, list), _feed_list),
    (Mapping, lambda taken, thing: _feed_list(taken, ["mapping", *thing.items()])),
    (np.ndarray, _feed_array),
    (shapely.Geometry, lambda taken, thing: _feed_list(taken, [_name(thing), shapely.to_wkb(thing)])),
    (
        BaseModel,
        lambda taken, thing: _feed_list(taken, [_name(thing), *(getattr(thing, n) for n in type(thing).model_fields)]),
    ),
)
