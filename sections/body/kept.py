"""What is made of a builder's files and scripts, kept from run to run as long as those are what they were."""

from __future__ import annotations

import pickle
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any, TypeVar

from sections.body.foreign import note_files, noting_files
from sections.results import Store, is_followed, source_state

Made = TypeVar("Made")
# What scripts read is named by paths from the root.
_ROOT = Path("/")


@dataclass(frozen=True)
class _Kept:
    """A result as bytes, and what scripts read for it: each as it was, by its name as a source."""

    result: bytes
    read: dict[str, str]

    def is_as_read(self) -> bool:
        """Return whether all that scripts read is what it was then."""
        return all(source_state(name, _ROOT) == state for name, state in self.read.items())


def made_once(store: Store | None, step: str, given: Any, make: Callable[[], Made]) -> Made:
    """Return what `make` makes of things given to a step and of what scripts read for it; made before, of the same, the
    same. store : where results are kept; None where none are.

    given : all else the result depends on, the contents of files that are named among it. What a script did that
    nobody can follow, as running another program, is done again each time.
    """
    key = None if store is None else store.key(step, given)
    found = None if store is None else store.get(key)
    kept: _Kept | None = None if found is None else found[0]
    if kept is None or not kept.is_as_read():
        with noting_files() as read:
            kept = _Kept(pickle.dumps(make()), read)
        if store is not None and all(is_followed(name) for name in read):
            store.keep(key, kept)
    note_files(kept.read)
    # Exact shapes come back from their bytes a little other than they went: all of them do, kept before or not.
    return pickle.loads(kept.result)
