"""One run at a time in an output folder, and what a stopped one left beside it."""

from __future__ import annotations

import shutil
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

from filelock import FileLock, Timeout

from sections.errors import OutputRefused
from sections.export.own_files import command_of, move_own
from sections.results import digest_of
from sections.results.store import PLACE, store_folder


def partial_folder(target: Path) -> Path:
    """Return where a run to `target` writes until it is done."""
    return target.with_name(f".{target.name}.partial")


def scratch_folder(target: Path) -> Path:
    """Return where a run to `target` keeps what its processes hand one another."""
    return target.with_name(f".{target.name}.scratch")


def previous_folder(target: Path) -> Path:
    """Return where the output before a run stands while the new one takes its place."""
    return target.with_name(f".{target.name}.previous")


def output_folder(out: Path, name: str) -> Path:
    """Return the folder `name` in `out`; where that is a link, the folder it leads to."""
    place = out / name
    return place.resolve() if place.is_symlink() else place


@contextmanager
def working_in(target: Path, command: str, say: Callable[[str], None]) -> Iterator[None]:
    """Keep every other run from an output folder until the block ends, and clear what a stopped one left beside it.

    command : whose output the folder holds. say : is given a line for each thing found. The lock is the system's: it
    ends with the process, however that ends. Raises OutputRefused when another run is at work there, or the folder
    holds the output of another command.
    """
    # Among what is kept of runs: an output folder that a run only looked at has nothing new beside it.
    place = store_folder() / "locks" / f"{digest_of(str(target.resolve()))}.lock"
    try:
        place.parent.mkdir(parents=True, exist_ok=True)
        lock = FileLock(place, timeout=0)
        lock.acquire()
    except Timeout:
        raise OutputRefused(f"{target}: another run is at work there; wait for it or stop it") from None
    except OSError as error:
        raise OutputRefused(
            f"{place}: cannot write there: {error.strerror or error}; name a folder in {PLACE}"
        ) from error
    try:
        for line in _recovered(target):
            say(line)
        holds = command_of(target)
        if holds not in (None, command):
            why = f"it holds what `sections {holds}` wrote for a job whose name ends like this folder's"
            raise OutputRefused(f"{target}: {why}; name this job otherwise, or give another --out")
        yield
    finally:
        lock.release()


def _recovered(target: Path) -> list[str]:
    """Clear what a stopped run left beside `target`, and return what was found, a line each."""
    said = []
    partial, previous, scratch = partial_folder(target), previous_folder(target), scratch_folder(target)
    if partial.exists():
        shutil.rmtree(partial)
        said.append(f"an earlier run to {target} was stopped; its unfinished files are cleared away")
    if scratch.exists():
        shutil.rmtree(scratch)
    if previous.exists():
        if target.exists():
            move_own(previous, target)
            shutil.rmtree(previous)
        else:
            previous.rename(target)
            said.append(f"an earlier run was stopped while it changed folders; {target} is the output before it")
    return said
