"""Doing many equal tasks, in other processes when there are enough of them."""

from __future__ import annotations

import importlib
import multiprocessing
import os
from collections.abc import Callable, Iterable
from concurrent.futures import ProcessPoolExecutor, as_completed
from typing import Any

from sections.run.progress import Progress

_FEW = 4
# Imported by a process as it starts, while the first one reads the body.
_NEEDED = ("sections.run.work", "sections.solids.write_step", "trimesh")


class Pool:
    """Processes that live as long as one run, and where progress is shown. Use it in a `with` block."""

    def __init__(self, processes: int, progress: Progress):
        self.progress = progress
        self._processes = processes
        self._executor: ProcessPoolExecutor | None = None

    def __enter__(self) -> Pool:
        return self

    def __exit__(self, kind, error, trace) -> None:
        if self._executor is not None:
            self._executor.shutdown(wait=kind is None, cancel_futures=True)
            self._executor = None

    def warm(self) -> None:
        """Start the processes now, so that they are ready when the first tasks come."""
        if self._processes > 1 and self._executor is None:
            # Spawned, not forked: a fork copies locks that OCC's and libigl's threads may hold.
            context = multiprocessing.get_context("spawn")
            self._executor = ProcessPoolExecutor(self._processes, mp_context=context, initializer=_start)
            for _ in range(self._processes):
                self._executor.submit(_nothing)

    def map(self, step: str, function: Callable, tasks: Iterable[tuple], names: Iterable[str]) -> list[Any]:
        """Return function(*task) for every task, in order. Progress shows the name of what was just finished."""
        tasks, names = list(tasks), list(names)
        self.progress.start(step, len(tasks))
        if self._processes == 1 or len(tasks) <= _FEW:
            results = []
            for task, name in zip(tasks, names, strict=True):
                results.append(function(*task))
                self.progress.advance(name)
            return results
        self.warm()
        waiting = {self._executor.submit(function, *task): index for index, task in enumerate(tasks)}
        done: dict[int, Any] = {}
        for future in as_completed(waiting):
            index = waiting[future]
            done[index] = future.result()
            self.progress.advance(names[index])
        return [done[index] for index in range(len(tasks))]


def _start() -> None:
    """Make a new process ready: one thread in libigl (a process does one section at a time), modules imported."""
    os.environ["IGL_NUM_THREADS"] = "1"
    for name in _NEEDED:
        importlib.import_module(name)


def _nothing() -> None:
    """A task that only makes a process start."""
