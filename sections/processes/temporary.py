"""One folder for all that a run, its processes and their libraries write for a while: it goes with the run."""

from __future__ import annotations

import os
import shutil
import tempfile
from multiprocessing.util import Finalize
from pathlib import Path

from sections.errors import OutputRefused
from sections.processes.context import has_room_for_socket
from sections.processes.stopping import gone_when_stopped

_PREFIX = "sections-"
_LAST = -200
_outside: list[str] = []


def keep_temporary_together() -> None:
    """Have this process and those it starts write what is temporary into a folder that goes when it ends or is stopped.

    Where the path of such a folder would leave no room for a socket's, things stay as they are. Raises OutputRefused
    where no such folder can be made.
    """
    try:
        outside = tempfile.gettempdir()
        if not has_room_for_socket(f"{outside}/{_PREFIX}12345678"):
            return
        folder = tempfile.mkdtemp(prefix=_PREFIX)
    except OSError as error:
        raise OutputRefused(f"no folder for temporary files: {error}; name one in TMPDIR that can be written") from None
    _outside.append(outside)
    os.environ["TMPDIR"] = tempfile.tempdir = folder
    # After what else is cleared up as a process ends: the socket's own folder, at a priority of -100.
    Finalize(None, shutil.rmtree, (folder, True), exitpriority=_LAST)
    gone_when_stopped(Path(folder))


def outliving_folder() -> str | None:
    """Return where a temporary file outlives the run; None for wherever files of this process go."""
    return _outside[-1] if _outside else None
