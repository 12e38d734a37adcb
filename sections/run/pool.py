"""Doing many equal tasks, in other processes when there are enough of them."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import Any

from joblib import Parallel, delayed

from sections.run.progress import Progress

_FEW = 4


@dataclass(frozen=True)
class Pool:
    """How many processes to use, and where progress is shown."""

    processes: int
    progress: Progress

    def map(self, step: str, function: Callable, tasks: Iterable[tuple], names: Iterable[str]) -> list[Any]:
        """Return function(*task) for every task, in order. Progress shows the name of what was just finished."""
        tasks, names = list(tasks), list(names)
        self.progress.start(step, len(tasks))
        if self.processes == 1 or len(tasks) <= _FEW:
            results = []
            for task, name in zip(tasks, names, strict=True):
                results.append(function(*task))
                self.progress.advance(name)
            return results
        # Each process does one section at a time; threads inside libigl would only get in each other's way.
        os.environ["IGL_NUM_THREADS"] = "1"
        jobs = (delayed(_numbered)(function, index, task) for index, task in enumerate(tasks))
        done: dict[int, Any] = {}
        for index, result in Parallel(n_jobs=self.processes, return_as="generator_unordered")(jobs):
            done[index] = result
            self.progress.advance(names[index])
        return [done[index] for index in range(len(tasks))]


def _numbered(function: Callable, index: int, task: tuple) -> tuple[int, Any]:
    return index, function(*task)
