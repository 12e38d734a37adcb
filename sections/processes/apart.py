"""Calling a function in a process that may be lost: what reads a stranger's file, or runs a builder's script."""

from __future__ import annotations

import os
import signal
from collections.abc import Callable
from multiprocessing.connection import Connection
from typing import Any

from sections.errors import SectionsError
from sections.processes.context import end_with_parent, process_context

# Bytes of address space.
_MEMORY = 8_000_000_000


class ProcessLost(Exception):
    """A process ended, or was ended, without an answer. why : in words."""

    def __init__(self, why: str):
        self.why = why
        super().__init__(why)


def call_apart(function: Callable, *args: Any, limit: float) -> Any:
    """Return function(*args), called in a process of its own. Its modules are read there, its result comes back.

    limit : s, for the call. Raises what SectionsError the function raises, and ProcessLost: past the limit, a signal,
    an exit, an error that no part expects.
    """
    context = process_context()
    here, there = context.Pipe()
    process = context.Process(target=_answer, args=(there, dict(os.environ), function, args), daemon=True)
    process.start()
    there.close()
    try:
        if not here.poll(limit):
            raise ProcessLost(f"no end in {limit:g} s")
        done, result = here.recv()
    except EOFError:
        process.join()
        raise ProcessLost(_how_it_ended(process.exitcode)) from None
    finally:
        here.close()
        process.kill()
        process.join()
    if isinstance(result, SectionsError):
        raise result
    if not done:
        raise ProcessLost(result)
    return result


def _answer(line: Connection, environment: dict[str, str], function: Callable, args: tuple) -> None:
    end_with_parent()
    # The server it is forked off has the environment of when it was started.
    os.environ.clear()
    os.environ.update(environment)
    _limit_memory()
    try:
        answer = True, function(*args)
    except SectionsError as error:
        answer = False, error
    except MemoryError:
        answer = False, f"it asked for more than {_MEMORY / 1e9:g} GB of memory"
    except Exception as error:  # whatever it was becomes the reason that is reported
        answer = False, f"{type(error).__name__}: {error}".splitlines()[0]
    line.send(answer)


def _limit_memory() -> None:
    """Have this process refused more memory than any file or script should need; where the system can do that."""
    try:
        import resource
    except ImportError:  # not a system of this kind
        return
    most = resource.getrlimit(resource.RLIMIT_AS)[1]
    resource.setrlimit(resource.RLIMIT_AS, (_MEMORY if most < 0 else min(_MEMORY, most), most))


def _how_it_ended(code: int | None) -> str:
    """Return in words how a process ended that gave no answer. code : its exit code, less than 0 for a signal."""
    if code is not None and code < 0:
        return f"ended by the signal {signal.Signals(-code).name}"
    return f"ended by itself, with exit code {code}"
