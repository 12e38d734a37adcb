"""A run that a signal stops: its processes end, what it left unfinished goes, one line is said.

Nothing is raised: an exception in the midst of a library that is being read brings the process down, or comes out as an
error of the library's own.
"""

from __future__ import annotations

import contextlib
import multiprocessing.process
import os
import shutil
import signal
import sys
from collections.abc import Iterator
from pathlib import Path

_SAID = b"stopped; earlier output is untouched\n"
# On a terminal the line that shows progress is cleared, and the cursor shown again.
_CLEAR = b"\r\x1b[2K\x1b[?25h"

_unfinished: list[Path] = []
_held: list[int] = []
_waiting: list[int] = []


def end_by_signals() -> None:
    """Have Ctrl-C, TERM and HUP end this process at any moment, with 128 and the signal's number."""
    # Python's own clerk for what processes share clears up after one that is stopped, and would say so at length.
    sys.warnoptions.append("ignore:resource_tracker:UserWarning")
    for name in ("SIGINT", "SIGTERM", "SIGHUP"):
        if hasattr(signal, name):
            signal.signal(getattr(signal, name), _stop)


def gone_when_stopped(folder: Path) -> None:
    """Have a folder go with a run that is stopped at any time."""
    _unfinished.append(folder)


@contextlib.contextmanager
def unfinished(folder: Path) -> Iterator[None]:
    """Have a folder go with a run that is stopped before the block ends."""
    _unfinished.append(folder)
    try:
        yield
    finally:
        _unfinished.remove(folder)


@contextlib.contextmanager
def not_now() -> Iterator[None]:
    """Have a signal wait until the block ends."""
    _held.append(1)
    try:
        yield
    finally:
        _held.pop()
        if _waiting and not _held:
            _stop(_waiting[0], None)


def _stop(number: int, _frame: object) -> None:
    if _held:
        _waiting.append(number)
        return
    # Not asked how they are: the answer may be half read by what was interrupted.
    for process in list(multiprocessing.process._children):
        if process.pid is not None:
            # One that has ended by itself meanwhile is as good as killed.
            with contextlib.suppress(ProcessLookupError):
                os.kill(process.pid, getattr(signal, "SIGKILL", signal.SIGTERM))
    for folder in _unfinished:
        shutil.rmtree(folder, ignore_errors=True)
    os.write(2, (_CLEAR if sys.stderr.isatty() else b"") + _SAID)
    os._exit(128 + number)
