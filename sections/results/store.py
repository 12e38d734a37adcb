"""A folder of results that outlives the run: each under the digest of all that went into it.

joblib's Memory and diskcache were looked at. Both keep pickled results; neither tells a spoilt one from a sound one by
its content, and joblib keys by pickled bytes (see `digest`). What is needed beyond them is small: a file a result,
written beside and renamed, its own digest before it, the oldest taken away where all come to too much.
"""

from __future__ import annotations

import contextlib
import hashlib
import os
import pickle
import tempfile
import time
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from sections.errors import OutputRefused
from sections.results.code import code_digest
from sections.results.digest import digest_of

# Where results are kept, and how many GB of them: variables of the environment.
PLACE, LIMIT = "SECTIONS_RESULTS", "SECTIONS_RESULTS_GB"
_LIMIT_GB = 8.0
_ENDING, _SPOILT, _UNFINISHED = ".result", ".spoilt", ".new-"
# s; what is half-written for longer than this was left by a run that was killed.
_STALE = 3600.0
_DIGEST = hashlib.sha256().digest_size


@dataclass(frozen=True)
class Store:
    """Results under keys in a folder. It is safe with several processes and several runs at once.

    code : the digest of the code that makes results; those of other code are others. most : bytes that may be kept.
    """

    folder: Path
    code: str
    most: float = _LIMIT_GB * 1e9

    def key(self, step: str, given: Any) -> str:
        """Return the key of what a step makes of things given to it. Raises TypeError where those are not plain."""
        return digest_of(self.code, step, given)

    def get(self, key: str) -> tuple[Any] | None:
        """Return (the result,) kept under a key, None without. One that is not as it was written is taken away, and
        counted as spoilt."""
        path = self._path(key)
        try:
            content = path.read_bytes()
            sound = hashlib.sha256(memoryview(content)[_DIGEST:]).digest() == content[:_DIGEST]
            if not sound:
                path.replace(path.with_suffix(_SPOILT))
                return None
            # What is asked for is kept longest.
            os.utime(path)
        except FileNotFoundError:
            # Never there, or taken away by another run meanwhile.
            return None
        return (pickle.loads(memoryview(content)[_DIGEST:]),)

    def put(self, key: str, result: Any) -> None:
        """Keep a result under a key: whole or not at all. Raises OSError where it cannot be written."""
        content, path = pickle.dumps(result, protocol=pickle.HIGHEST_PROTOCOL), self._path(key)
        path.parent.mkdir(parents=True, exist_ok=True)
        handle, name = tempfile.mkstemp(dir=path.parent, prefix=_UNFINISHED)
        try:
            with os.fdopen(handle, "wb") as file:
                file.write(hashlib.sha256(content).digest())
                file.write(content)
            Path(name).replace(path)
        except BaseException:
            Path(name).unlink(missing_ok=True)
            raise

    def once(self, step: str, given: Any, make: Callable[[], Any]) -> Any:
        """Return what `make` makes of things given to a step; made before, the same. Where the disk takes no more it
        is made and not kept: `trim` says so."""
        key = self.key(step, given)
        kept = self.get(key)
        if kept is not None:
            return kept[0]
        result = make()
        self.keep(key, result)
        return result

    def keep(self, key: str, result: Any) -> None:
        """Keep a result under a key; where the disk takes no more it is not kept: `trim` says so."""
        try:
            self.put(key, result)
        except OSError as error:
            self._note(f"a result could not be kept: {error.strerror or error}")

    def trim(self) -> list[str]:
        """Take away what was used longest ago where all is more than may be kept; return what a user should know."""
        said = []
        spoilt = list(self.folder.glob(f"*/*{_SPOILT}"))
        for path in spoilt:
            path.unlink(missing_ok=True)
        if spoilt:
            said.append(f"{self.folder}: {len(spoilt)} kept results were spoilt; they were made again")
        note = self.folder / "note"
        if note.exists():
            said.append(f"{self.folder}: {note.read_text('utf-8')}")
            note.unlink(missing_ok=True)
        files = sorted(self._files())
        over = sum(size for _, size, _ in files) - self.most
        for _, size, path in files:
            if over <= 0:
                break
            Path(path).unlink(missing_ok=True)
            over -= size
        self._clear_unfinished()
        return said

    def size(self) -> tuple[int, int]:
        """Return (how many results are kept, bytes of them)."""
        files = self._files()
        return len(files), sum(size for _, size, _ in files)

    def empty(self) -> None:
        """Take away all results, and nothing else that may lie in the folder."""
        for folder in self.folder.glob("[0-9a-f][0-9a-f]"):
            if not folder.is_dir() or folder.is_symlink():
                continue
            for pattern in (f"*{_ENDING}", f"*{_SPOILT}", f"{_UNFINISHED}*"):
                for path in folder.glob(pattern):
                    path.unlink(missing_ok=True)
            # What is the user's there stays, and so does a folder that another run writes to meanwhile.
            with contextlib.suppress(OSError):
                folder.rmdir()

    def _path(self, key: str) -> Path:
        return self.folder / key[:2] / f"{key[2:]}{_ENDING}"

    def _files(self) -> list[tuple[float, int, str]]:
        """Return (when it was last asked for, bytes, path) of all results; one that goes meanwhile is passed by."""
        found = []
        for path in self.folder.glob(f"??/*{_ENDING}"):
            try:
                state = path.stat()
            except FileNotFoundError:
                continue
            found.append((state.st_mtime, state.st_size, str(path)))
        return found

    def _clear_unfinished(self) -> None:
        """Take away what runs that were killed left half-written; what is young may be written by another run now."""
        for path in self.folder.glob(f"??/{_UNFINISHED}*"):
            try:
                if time.time() - path.stat().st_mtime > _STALE:
                    path.unlink()
            except FileNotFoundError:
                continue

    def _note(self, text: str) -> None:
        """Leave word for `trim`, a line long. On a full disk a file of its own may still find room: if not, the run
        ends by the output's own message."""
        try:
            (self.folder / "note").write_text(text, "utf-8")
        except OSError as error:
            raise OutputRefused(f"{self.folder}: {text}; {error.strerror}: free some room, or empty it") from None


def store_folder() -> Path:
    """Return where results are kept: where SECTIONS_RESULTS says, else in the user's cache folder."""
    given = os.environ.get(PLACE)
    if given:
        return Path(given)
    cache = os.environ.get("XDG_CACHE_HOME") or os.environ.get("LOCALAPPDATA") or Path.home() / ".cache"
    return Path(cache) / "body-sections"


def open_store() -> Store:
    """Return the user's store. Raises OutputRefused where the limit in the environment is no number."""
    given = os.environ.get(LIMIT, f"{_LIMIT_GB:g}")
    try:
        limit = float(given)
    except ValueError:
        raise OutputRefused(f"{LIMIT} = {given}: a number of GB, 0 or more") from None
    if not limit >= 0:
        raise OutputRefused(f"{LIMIT} = {given}: a number of GB, 0 or more")
    return Store(store_folder().absolute(), code_digest(), limit * 1e9)
