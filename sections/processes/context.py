"""How other processes come to be: forked off a server that has read the libraries, and has done nothing else.

A fork of a process that has meshed in parallel hangs in OCC's next mesh, and a fork copies locks that libigl's threads
may hold; a new interpreter for each process reads the libraries again, 2 to 4 s each. The server reads them once. It
has no threads of its own at work, so its forks are sound.
"""

from __future__ import annotations

import multiprocessing
import os
import sys
import tempfile
from multiprocessing import forkserver
from multiprocessing.context import BaseContext
from threading import Thread

# Read by the server, in every run: what a process needs before its first task.
_ALWAYS = ("sections.processes.attempts",)
# Systems without `fork` start each process anew.
_CAN_FORK = "forkserver" in multiprocessing.get_all_start_methods()
# The server listens at a socket in a folder of its own; bytes that its path may have on all systems.
_SOCKET, _LONGEST = "/pymp-12345678/listener-12345678", 103


def has_room_for_socket(folder: str) -> bool:
    """Return whether a server can listen at a socket below a folder for temporary files."""
    return len(os.fsencode(folder + _SOCKET)) <= _LONGEST


def _has_server() -> bool:
    return _CAN_FORK and has_room_for_socket(tempfile.gettempdir())


def read_ahead(modules: tuple[str, ...] = ()) -> None:
    """Start the server now, and have it read these modules, while this process goes on; nothing where one runs."""
    if not _has_server():
        return
    kept = os.environ.get("PYTHONPATH")
    # The server looks for modules where this process does, wherever it was started.
    os.environ["PYTHONPATH"] = os.pathsep.join(path for path in sys.path if path)
    try:
        forkserver.set_forkserver_preload([*_ALWAYS, *modules])
        forkserver.ensure_running()
    finally:
        if kept is None:
            del os.environ["PYTHONPATH"]
        else:
            os.environ["PYTHONPATH"] = kept


def process_context() -> BaseContext:
    """Return what processes are started by."""
    read_ahead()
    return multiprocessing.get_context("forkserver" if _has_server() else "spawn")


def end_with_parent() -> None:
    """Have this process end when the one that started it has ended, however that came about.

    A run that is stopped kills the processes it knows; one that was being started at that moment is not among them, and
    would wait for its first task for ever.
    """
    Thread(target=_wait_for_parent, daemon=True).start()


def _wait_for_parent() -> None:
    multiprocessing.parent_process().join()
    os._exit(1)
