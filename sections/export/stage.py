"""The output folder: written beside, then renamed, so that it appears whole or not at all."""

from __future__ import annotations

import os
import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from sections.cautions import CAUTIONS_NAME, cautions_text
from sections.errors import OutputRefused
from sections.export.manifest import MANIFEST_NAME, read_manifest

_OWN = {MANIFEST_NAME, "plan.json", "findings.json", CAUTIONS_NAME}


def partial_folder(target: Path) -> Path:
    """Return where a run to `target` writes until it is done."""
    return target.with_name(f".{target.name}.partial")


def scratch_folder(target: Path) -> Path:
    """Return where a run to `target` keeps what its processes hand one another."""
    return target.with_name(f".{target.name}.scratch")


def _previous_folder(target: Path) -> Path:
    return target.with_name(f".{target.name}.previous")


def recover(target: Path) -> list[str]:
    """Clear what a stopped run left beside `target`, and return what was found, a line each.

    Raises OutputRefused when another run is still at work there.
    """
    said = []
    partial, previous, scratch = partial_folder(target), _previous_folder(target), scratch_folder(target)
    if partial.exists():
        owner = _owner(partial)
        if owner is not None and owner != os.getpid() and _alive(owner):
            raise OutputRefused(f"{target}: another run (process {owner}) is writing there; wait for it or stop it")
        shutil.rmtree(partial)
        said.append(f"an earlier run to {target} was stopped; its unfinished files are cleared away")
    if scratch.exists():
        shutil.rmtree(scratch)
    if previous.exists():
        if target.exists():
            shutil.rmtree(previous)
        else:
            previous.rename(target)
            said.append(f"an earlier run was stopped while it changed folders; {target} is the output before it")
    return said


@contextmanager
def staged(target: Path) -> Iterator[Path]:
    """Give a folder to write in; when the block ends well it becomes `target`, with the cautions in it; when it
    fails it is removed.

    Files in the old `target` that no run of ours wrote are carried over. Raises OutputRefused.
    """
    partial = _open_partial(target)
    try:
        yield partial
        (partial / CAUTIONS_NAME).write_text(cautions_text(), "utf-8")
        (partial / ".owner").unlink()
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
        yield partial
        (partial / ".owner").unlink()
        # The manifest last: it never names a file that is not there yet.
        files = [path for path in partial.rglob("*") if path.is_file()]
        for path in sorted(files, key=lambda path: (path.name == MANIFEST_NAME, path)):
            place = target / path.relative_to(partial)
            place.parent.mkdir(parents=True, exist_ok=True)
            path.replace(place)
    except OSError as error:
        raise OutputRefused(f"{target}: cannot be written: {error.strerror or error}") from error
    finally:
        shutil.rmtree(partial, ignore_errors=True)


def _open_partial(target: Path) -> Path:
    """Make the folder a run writes in, marked as this process's own. Raises OutputRefused."""
    partial = partial_folder(target)
    try:
        partial.mkdir(parents=True)
    except FileExistsError:
        raise OutputRefused(f"{target}: another run is writing there; wait for it or stop it") from None
    except OSError as error:
        raise OutputRefused(f"{target}: cannot write there: {error.strerror}") from None
    (partial / ".owner").write_text(str(os.getpid()))
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
    previous = _previous_folder(target)
    if target.exists():
        _carry_over(target, partial)
        target.rename(previous)
    partial.rename(target)
    if previous.exists():
        shutil.rmtree(previous)


def _carry_over(old: Path, new: Path) -> None:
    """Copy files of the user's own from the old output to the new, never over a file just written."""
    ours = _ours(old)
    for path in sorted(old.rglob("*")):
        name = path.relative_to(old)
        if path.is_file() and name.as_posix() not in ours and not (new / name).exists():
            (new / name).parent.mkdir(parents=True, exist_ok=True)
            shutil.copy2(path, new / name)


def _ours(folder: Path) -> set[str]:
    """Return the paths in a folder that a run of ours wrote; without a readable manifest, none but our own names."""
    try:
        manifest = read_manifest(folder)
    except OutputRefused:
        return set(_OWN)
    files = {file.path for part in manifest.parts for file in part.files}
    return _OWN | files | set(manifest.pictures) | ({manifest.assembly.path} if manifest.assembly else set())


def _owner(partial: Path) -> int | None:
    try:
        return int((partial / ".owner").read_text())
    except (OSError, ValueError):
        return None


def _alive(process: int) -> bool:
    try:
        os.kill(process, 0)
    except ProcessLookupError:
        return False
    except PermissionError:
        return True
    return True
