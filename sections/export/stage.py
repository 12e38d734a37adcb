"""The output folder: written beside, then renamed, so that it appears whole or not at all."""

from __future__ import annotations

import secrets
import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from sections.cautions import CAUTIONS_NAME, cautions_text
from sections.errors import OutputRefused
from sections.export.folder_lock import partial_folder, previous_folder, scratch_folder
from sections.export.manifest import MANIFEST_NAME
from sections.export.own_files import move_own, note_added, note_written
from sections.processes.stopping import not_now, unfinished
from sections.results import Store
from sections.results.scratch import Scratch, keep_results


@contextmanager
def scratch_beside(target: Path, store: Store | None) -> Iterator[Scratch]:
    """Give a run's scratch folder, beside the output it makes; it is removed when the block ends. store : of results
    that outlive the run; None where none are to."""
    # A name of its own: what a process keeps of one run's folder is not taken for another's.
    scratch = Scratch(scratch_folder(target) / secrets.token_hex(8))
    try:
        scratch.folder.mkdir(parents=True)
    except OSError as error:
        raise OutputRefused(f"{target}: cannot write there: {error.strerror}") from None
    try:
        with unfinished(scratch.folder.parent):
            keep_results(scratch, store)
            yield scratch
    finally:
        shutil.rmtree(scratch.folder.parent)


@contextmanager
def staged(target: Path, command: str) -> Iterator[Path]:
    """Give a folder to write in; when the block ends well it becomes `target`, with the cautions in it; when it
    fails it is removed.

    What no run of ours wrote in the old `target` stays. command : that writes. Raises OutputRefused.
    """
    partial = _open_partial(target)
    try:
        with unfinished(partial):
            yield partial
        (partial / CAUTIONS_NAME).write_text(cautions_text(), "utf-8")
        note_written(partial, command)
        _swap(partial, target)
    except OSError as error:
        raise OutputRefused(
            f"{target}: cannot be written: {error.strerror or error}; the old output is untouched"
        ) from error
    finally:
        if partial.exists():
            shutil.rmtree(partial, ignore_errors=True)


@contextmanager
def added(target: Path) -> Iterator[Path]:
    """Give a folder to write in; when the block ends well its files are moved into `target`, when it fails it is
    removed and `target` stays as it was. Raises OutputRefused.
    """
    partial = _open_partial(target)
    try:
        with unfinished(partial):
            yield partial
        # The manifest last: it never names a file that is not there yet.
        files = [path for path in partial.rglob("*") if path.is_file()]
        with not_now():
            for path in sorted(files, key=lambda path: (path.name == MANIFEST_NAME, path)):
                place = target / path.relative_to(partial)
                place.parent.mkdir(parents=True, exist_ok=True)
                path.replace(place)
            note_added(target, [path.relative_to(partial).as_posix() for path in files])
    except OSError as error:
        raise OutputRefused(f"{target}: cannot be written: {error.strerror or error}") from error
    finally:
        shutil.rmtree(partial, ignore_errors=True)


def _open_partial(target: Path) -> Path:
    """Make the folder a run writes in. Raises OutputRefused."""
    partial = partial_folder(target)
    try:
        partial.mkdir(parents=True)
    except FileExistsError:
        raise OutputRefused(f"{target}: another run is writing there; wait for it or stop it") from None
    except OSError as error:
        raise OutputRefused(f"{target}: cannot write there: {error.strerror}") from None
    return partial


def write_whole(path: Path, text: str) -> None:
    """Write a file beside its place and rename it, so that it is there whole or not at all. Raises OutputRefused."""
    beside = path.with_name(f".{path.name}.partial")
    try:
        beside.write_text(text, "utf-8")
        beside.replace(path)
    except OSError as error:
        raise OutputRefused(f"{path}: cannot be written: {error.strerror or error}") from error


def _swap(partial: Path, target: Path) -> None:
    previous = previous_folder(target)
    with not_now():
        if target.exists():
            target.rename(previous)
        partial.rename(target)
        if previous.exists():
            move_own(previous, target)
            shutil.rmtree(previous)
