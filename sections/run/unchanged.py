"""A run that would make again what lies there: known by what went into it, and by every byte that came out."""

from __future__ import annotations

from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from sections.export.digest import changed_sources, source_digests
from sections.export.own_files import written_files
from sections.results import Store, is_followed, sha256_of
from sections.settings import Settings

_STEP = "whole run"
# Files that are read at once to take their digests; the system waits for the disk meanwhile.
_AT_ONCE = 4


@dataclass(frozen=True)
class RunRecord:
    """What a run left. files : SHA-256 of each file of ours in the output folder, by path. sources : of those its
    parameters name and its scripts read, by path from the parameter file's folder. said : its last lines but one."""

    files: dict[str, str]
    sources: dict[str, str]
    said: tuple[str, ...]


@dataclass(frozen=True)
class RunTask:
    """What a run is asked for. folder : the parameter file's. options : what it is asked for on the command line.
    target : the output folder. sources : SHA-256 of the files its parameters name, by name, as it began: what changes
    while it runs belongs to the next run."""

    settings: Settings
    folder: Path
    options: tuple[Any, ...]
    target: Path
    sources: dict[str, str]

    @staticmethod
    def of(settings: Settings, folder: Path, options: tuple[Any, ...], target: Path) -> RunTask:
        """Return what a run is asked for that begins now."""
        return RunTask(settings, folder, options, target, source_digests(settings, folder))

    def given(self) -> tuple[Any, ...]:
        """Return all that is known before anything is read but the parameters."""
        return self.settings, self.sources, self.options


def keep_run(store: Store | None, task: RunTask, sources: dict[str, str], said: list[str]) -> None:
    """Keep what a run has left, for `same_run` to find; one that other programs took part in is made every time."""
    if store is not None and all(map(is_followed, sources)):
        record = RunRecord(_digests(task.target), sources, tuple(said))
        store.keep(store.key(_STEP, task.given()), record)


def same_run(store: Store | None, task: RunTask) -> RunRecord | None:
    """Return what an earlier run of the same code on the same parameters left, None where there was none, a file that
    went into it changed since, or one that came out is not as it was left."""
    kept = None if store is None else store.get(store.key(_STEP, task.given()))
    if kept is None:
        return None
    record: RunRecord = kept[0]
    if changed_sources(record.sources, task.folder) or record.files != _digests(task.target):
        return None
    return record


def _digests(target: Path) -> dict[str, str]:
    """Return the SHA-256 of every file of ours in an output folder, by path; of one that is gone, a word."""
    names = written_files(target)
    with ThreadPoolExecutor(_AT_ONCE) as pool:
        found: Iterator[str | None] = pool.map(lambda name: sha256_of(target / name), names)
        return {name: sha or "gone" for name, sha in zip(names, found, strict=True)}
