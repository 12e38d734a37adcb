"""What something was made from, each by a name and what it was then: files, names in folders, the environment."""

from __future__ import annotations

import hashlib
import os
from pathlib import Path

from sections.results.digest import sha256_of

# What is not there; what was another when its reading ended than when it began, which no state is equal to.
ABSENT, CHANGED = "absent", "changed while it was read"
_NAMES, _ENVIRONMENT, _BEYOND = "names in ", "environment ", "not followed: "


# What tells one state of a file from another: inode, time in ns, bytes; None where there is none.
Mark = tuple[int, int, int] | None


def file_mark(path: str) -> Mark:
    """Return what tells the state of a file now from another, without reading it; None where there is none."""
    try:
        found = os.stat(path)
    except OSError:
        return None
    return found.st_ino, found.st_mtime_ns, found.st_size


def names_in(folder: str) -> str:
    """Return the name of a folder's list of names as a source."""
    return _NAMES + folder


def environment(variable: str) -> str:
    """Return the name of an environment variable as a source."""
    return _ENVIRONMENT + variable


def not_followed(what: str) -> str:
    """Return the name of something whose own sources nobody knows, as another program."""
    return _BEYOND + what


def is_followed(name: str) -> bool:
    """Return whether a source can be held against what it is now."""
    return not name.startswith(_BEYOND)


def source_state(name: str, folder: Path) -> str:
    """Return what a source is now: a digest, or ABSENT. Its path, if it has one, is from `folder`."""
    if name.startswith(_ENVIRONMENT):
        return text_state(os.environ.get(name.removeprefix(_ENVIRONMENT)))
    if name.startswith(_NAMES):
        try:
            return _digest("\0".join(sorted(os.listdir(folder / name.removeprefix(_NAMES)))))
        except OSError:
            return ABSENT
    return sha256_of(folder / name) or ABSENT


def text_state(text: str | None) -> str:
    """Return the digest of a text, ABSENT where there is none."""
    return ABSENT if text is None else _digest(text)


def seen_from(name: str, folder: str) -> str:
    """Return a source's name, its path, if it has one, from a folder, with slashes."""
    if name.startswith((_ENVIRONMENT, _BEYOND)):
        return name
    kind = _NAMES if name.startswith(_NAMES) else ""
    return kind + Path(os.path.relpath(name.removeprefix(kind), folder)).as_posix()


def _digest(text: str) -> str:
    return hashlib.sha256(text.encode("utf-8", "surrogateescape")).hexdigest()
