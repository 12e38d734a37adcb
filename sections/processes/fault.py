"""What a user reads when the program itself is at fault."""

from __future__ import annotations

import tempfile
import traceback
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from sections.errors import SectionsError
from sections.processes.temporary import outliving_folder

_KEPT = "body-sections-fault-"


@contextmanager
def in_hand(step: str, item: str) -> Iterator[None]:
    """Say what was in hand, in notes of an error that nobody expected, while the block runs."""
    try:
        yield
    except SectionsError:
        raise
    except Exception as error:
        error.add_note(f"{step}: {item}")
        raise


def fault_report(error: Exception) -> str:
    """Return what to tell a user of an error that nobody expected; its traceback is kept in a file of its own."""
    kept = {"prefix": _KEPT, "suffix": ".txt", "dir": outliving_folder(), "delete": False}
    with tempfile.NamedTemporaryFile("w", encoding="utf-8", **kept) as file:
        file.write("".join(traceback.format_exception(error)))
    text = (str(error).strip() or "no reason given").splitlines()[0]
    lines = [f"a fault of this program, not of your file: {type(error).__name__}: {text}"]
    lines += [f"    in hand: {note}" for note in getattr(error, "__notes__", ())]
    lines.append("    earlier output is untouched")
    lines.append(f"    details: {Path(file.name)} (send it with your parameter file to who looks after the program)")
    return "\n".join(lines)
