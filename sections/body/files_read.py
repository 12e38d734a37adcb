"""What a builder's script reads: files, modules beside it, names in folders, environment variables.

Files that Python opens are told by its audit events (PEP 578); the CAD kernel opens its own, which no event tells, so
its readers are watched, and every text in the script that names a file there is counts as read.
"""

from __future__ import annotations

import contextlib
import os
import sys
import sysconfig
import types
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

from OCP.BinTools import BinTools
from OCP.BRepTools import BRepTools
from OCP.IGESControl import IGESControl_Reader
from OCP.RWStl import RWStl
from OCP.STEPCAFControl import STEPCAFControl_Reader
from OCP.STEPControl import STEPControl_Reader
from OCP.StlAPI import StlAPI, StlAPI_Reader
from OCP.XSControl import XSControl_Reader

from sections.results.sources import (
    ABSENT,
    CHANGED,
    Mark,
    environment,
    file_mark,
    names_in,
    not_followed,
    source_state,
    text_state,
)

# Readers of the CAD kernel, and whether each is a method.
_READERS = (
    (STEPControl_Reader, "ReadFile", True), (STEPCAFControl_Reader, "ReadFile", True),
    (IGESControl_Reader, "ReadFile", True), (XSControl_Reader, "ReadFile", True), (StlAPI_Reader, "Read", True),
    (StlAPI, "Read_s", False), (RWStl, "ReadFile_s", False), (BRepTools, "Read_s", False), (BinTools, "Read_s", False),
)  # fmt: skip
# Other programs, whose own files nobody knows.
_BEYOND = ("subprocess.Popen", "os.system", "os.posix_spawn", "os.exec")
# Modules by which a variable of the environment is asked for.
_MAPPINGS = ("os", "_collections_abc")
# Letters of the longest text that may name a file.
_LONGEST = 255


class FilesRead:
    """The user's own things that a script reads; Python's and its libraries' are left out."""

    def __init__(self) -> None:
        """Take note of nothing yet."""
        self._files: dict[str, Mark] = {}
        self._written: set[str] = set()
        self._folders: set[str] = set()
        self._environment: dict[str, str] = {}
        self._beyond: set[str] = set()
        # As it is before the script sets anything in it.
        self._variables = dict(os.environ)
        libraries = (sysconfig.get_paths()[name] for name in ("stdlib", "platstdlib", "purelib", "platlib"))
        places = (*libraries, str(Path(__file__).parents[1]), "/proc", "/dev")
        self._others = tuple(os.path.realpath(place) + os.sep for place in places)

    def watch(self) -> None:
        """Take note from here on, in this process, for good."""
        sys.addaudithook(self._audit)
        for kind, name, is_method in _READERS:
            noted = _noting(getattr(kind, name), self._note_names)
            setattr(kind, name, noted if is_method else staticmethod(noted))
        of_environment = os._Environ.__getitem__

        def read_variable(own: os._Environ, name: str) -> str:
            self._note_variable(name)
            return of_environment(own, name)

        os._Environ.__getitem__ = read_variable

    def states(self, script: Path) -> dict[str, str]:
        """Return what each was when it was read, by its name, paths from the root. script : that ran. What the script
        wrote itself, and what of that is gone again, is no source of it unless it read it."""
        opened = set(self._files)
        self._note_names(_texts_in([script, *(Path(name) for name in opened)]), script.parent)
        read: dict[str, str] = {}
        for name, mark in sorted(self._files.items()):
            now = file_mark(name)
            if name in self._written and (now is None or name not in opened):
                continue
            is_as_read = now is None or now == mark or name in self._written
            read[name] = source_state(name, Path("/")) if is_as_read else CHANGED
        folders = {names_in(folder): source_state(names_in(folder), Path("/")) for folder in sorted(self._folders)}
        read |= {name: state for name, state in folders.items() if state != ABSENT}
        return read | self._environment | {not_followed(what): "" for what in sorted(self._beyond)}

    def _audit(self, event: str, arguments: tuple[Any, ...]) -> None:
        if event == "open":
            self._note_opened(*arguments)
        elif event in ("os.listdir", "os.scandir"):
            # Python lists the folders that modules are looked for in.
            if not sys._getframe(1).f_code.co_filename.startswith("<frozen importlib"):
                path = _path_of(arguments[0] or os.curdir)
                if path is not None and self._is_own(path):
                    self._folders.add(path)
        elif event == "os.rename":
            written = _path_of(arguments[1])
            self._written |= set() if written is None else {written}
        elif event == "sqlite3.connect":
            self._note(_path_of(arguments[0]))
        elif event in _BEYOND:
            self._beyond.add(event)

    def _note_opened(self, path: Any, mode: Any = None, flags: Any = 0) -> None:
        writes = set("wxa+") & set(mode) if isinstance(mode, str) else flags & (os.O_WRONLY | os.O_RDWR)
        reads = "r" in mode or "+" in mode if isinstance(mode, str) else not flags & os.O_WRONLY
        name = _path_of(path)
        if name is not None and writes:
            self._written.add(name)
        if reads:
            self._note(name)

    def _note(self, name: str | None) -> None:
        if name is not None and self._is_own(name) and not os.path.isdir(name):
            self._files.setdefault(name, file_mark(name))

    def _note_names(self, texts: Any, folder: Path | None = None) -> None:
        """Take note of files that texts name, from here or from a folder."""
        for text in texts:
            if isinstance(text, str) and 0 < len(text) <= _LONGEST and "\0" not in text:
                for path in {os.path.abspath(text), *([] if folder is None else [str(folder / text)])}:
                    if os.path.isfile(path):
                        self._note(path)

    def _note_variable(self, name: Any) -> None:
        frame: types.FrameType | None = sys._getframe(2)
        while frame is not None and _module_of(frame) in _MAPPINGS:
            frame = frame.f_back
        if frame is not None and isinstance(name, str) and self._is_own(os.path.abspath(frame.f_code.co_filename)):
            self._environment.setdefault(environment(name), text_state(self._variables.get(name)))

    def _is_own(self, path: str) -> bool:
        return not os.path.realpath(path).startswith(self._others)


def _path_of(path: Any) -> str | None:
    """Return a path as it is asked for, from the root, its links not followed; None for what is no path."""
    return os.path.abspath(os.fsdecode(path)) if isinstance(path, str | bytes | os.PathLike) else None


def _module_of(frame: types.FrameType) -> str:
    """Return the name of the module a frame runs in, of Python's own frozen ones too: "<frozen os>"."""
    words = Path(frame.f_code.co_filename.strip("<>")).stem.split()
    return words[-1] if words else ""


def _noting(function: Callable, note: Callable[[Any], None]) -> Callable:
    def noted(*arguments: Any, **named: Any) -> Any:
        note((*arguments, *named.values()))
        return function(*arguments, **named)

    return noted


def _texts_in(scripts: list[Path]) -> Iterator[str]:
    """Yield the texts that stand in scripts; one that is only read, and is no Python, has none."""
    for path in scripts:
        codes: list[Any] = []
        if path.suffix == ".py":
            # What the script itself must be is for running it to say.
            with contextlib.suppress(OSError, SyntaxError, ValueError):
                codes.append(compile(path.read_bytes(), str(path), "exec"))
        while codes:
            for constant in codes.pop().co_consts:
                if isinstance(constant, types.CodeType):
                    codes.append(constant)
                elif isinstance(constant, str):
                    yield constant
