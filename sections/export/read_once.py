"""What is read of an output folder, kept in each process only while the folder is as it was read.

A process outlives the folder it read: a build compares the old output, puts the new in its place, and measures that
with the same processes. One that kept what it had read measured sections that were gone.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import lru_cache, wraps
from pathlib import Path
from typing import Any, TypeVar

from sections.export.manifest import MANIFEST_NAME
from sections.results.sources import file_mark

PLAN_NAME = "plan.json"
# A build writes both anew, whatever it changes.
_MARKS = (MANIFEST_NAME, PLAN_NAME)
_KEPT: list[Any] = []

Result = TypeVar("Result")


def read_once(most: int | None) -> Callable[[Callable[..., Result]], Callable[..., Result]]:
    """Have a function keep what it reads of an output folder, its first argument, for so many calls with other
    arguments, a number, None for any; it reads anew once a build has written there."""

    def keeping(function: Callable[..., Result]) -> Callable[..., Result]:
        @lru_cache(maxsize=most)
        def kept(_state: tuple, *arguments: Any) -> Result:
            return function(*arguments)

        @wraps(function)
        def asked(out: Path, *more: Any) -> Result:
            return kept(_state_of(out), out, *more)

        _KEPT.append(kept)
        return asked

    return keeping


def read_anew() -> None:
    """Forget what this process read of output folders: a user may have changed a file that no build wrote."""
    for kept in _KEPT:
        kept.cache_clear()


def _state_of(out: Path) -> tuple:
    """Return what tells one state of an output folder from another."""
    return tuple(file_mark(str(out / name)) for name in _MARKS)
