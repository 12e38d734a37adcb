"""Doing many equal tasks, in other processes when there are enough of them.

Pools that watch memory restarted processes in mid-run; this is a plain pool, warmed while the body is read.
Fewer than five tasks run in the calling process: the search of seams, in batches of four, used one core until it said
so (`few`).
"""

from __future__ import annotations

import importlib
import time
from collections.abc import Callable, Iterable
from concurrent.futures import Executor, Future, ProcessPoolExecutor, as_completed
from concurrent.futures.process import BrokenProcessPool
from dataclasses import dataclass
from threading import Thread
from typing import Any

from sections.errors import BuildFailed
from sections.processes.attempts import Attempts
from sections.processes.cluster import Cluster, ClusterAttempts, is_lost
from sections.processes.context import end_with_parent, process_context, read_ahead
from sections.processes.fault import in_hand
from sections.processes.progress import Progress
from sections.results import Store

_FEW = 4


class Pool:
    """Processes that live as long as one run, and where progress is shown. Use it in a `with` block, which raises
    BuildFailed where one of them died.

    processes : how many work at once. store : where the results of steps are kept for other runs; None where none are.
    ready : called in each process before its first task. cluster : address of a Dask scheduler whose workers do the
    work instead, None without. Raises BadInput for one that cannot.
    """

    def __init__(
        self, processes: int, progress: Progress, store: Store | None = None,
        ready: Callable[[], None] | None = None, cluster: str | None = None,
    ):  # fmt: skip
        self.progress = progress
        self.store = store
        self._cluster = None if cluster is None else Cluster(cluster, store and store.folder, ready)
        self.processes = processes if self._cluster is None else self._cluster.workers
        self._ready = ready
        self._executor: Executor | None = None
        self._leaving: list[Thread] = []
        self._began = time.monotonic()

    @property
    def seconds(self) -> float:
        """How long the run has taken by now, s."""
        return time.monotonic() - self._began

    def __enter__(self) -> Pool:
        return self

    def __exit__(self, kind, error, trace) -> None:
        # Left to itself while Python ends, the executor can print a traceback of its own; only a user who stops the run
        # does not wait for the tasks under way.
        stopped = kind is not None and issubclass(kind, KeyboardInterrupt)
        if self._executor is not None and self._cluster is None:
            self._executor.shutdown(wait=not stopped, cancel_futures=True)
        self._executor = None
        for leaving in self._leaving if not stopped else ():
            leaving.join()
        if self._cluster is not None:
            self._cluster.close()
        if is_lost(error):
            raise BuildFailed(
                "the cluster was lost: its scheduler, or one worker after another, for want of memory perhaps"
            )
        if isinstance(error, BrokenProcessPool):
            raise BuildFailed(
                "a process died in the midst of its work, for want of memory perhaps; use fewer: --processes"
            )

    def warm(self, modules: tuple[str, ...] = ()) -> None:
        """Start the processes now, and have each import these modules, while the first one reads the body."""
        if self._cluster is not None:
            self._cluster.warm(modules)
            self._executor = self._executor or self._cluster.executor
        elif self.processes > 1 and self._executor is None:
            read_ahead(modules)
            self._executor = ProcessPoolExecutor(
                self.processes, mp_context=process_context(), initializer=_start, initargs=(self._ready, *modules)
            )
            for _ in range(self.processes):
                self._executor.submit(_nothing)

    def begin(self, function: Callable, tasks: Iterable[tuple], names: Iterable[str], few: int = _FEW) -> Begun:
        """Hand tasks to the processes and return at once; no more than `few` wait to be done in this one, where
        processes are its own."""
        tasks, names = list(tasks), list(names)
        if self._cluster is None and (self.processes == 1 or len(tasks) <= few):
            return Begun(self.progress, function, tasks, names, None)
        self.warm()
        return Begun(self.progress, function, tasks, names, [self._executor.submit(function, *task) for task in tasks])

    def rest(self, *, wait: bool = True) -> None:
        """Let the processes go; the next tasks start new ones. wait : until they have gone, which takes seconds."""
        if self._executor is not None and self._cluster is None:
            leaving = Thread(target=self._executor.shutdown, daemon=True)
            leaving.start()
            self._leaving.append(leaving)
            self._executor = None
            if wait:
                leaving.join()

    def attempts(self) -> Attempts | ClusterAttempts:
        """Return processes for tasks that may never end or bring theirs down, in a `with` block."""
        if self._cluster is None:
            return Attempts(self.processes, self.progress, self._ready)
        self.warm()
        return ClusterAttempts(self._executor, self.progress, self._ready)

    def map(
        self, step: str, function: Callable, tasks: Iterable[tuple], names: Iterable[str], few: int = _FEW
    ) -> list[Any]:
        """Return function(*task) for every task, in order. Progress shows the name of what was just finished.

        few : no more tasks than these are done in this process; 1 for tasks that take long.
        """
        return self.begin(function, tasks, names, few).results(step)

    def map_behind(
        self, step: str, function: Callable, task: Callable[[int, list[Any]], tuple], names: list[str], behind: int
    ) -> list[Any]:
        """Return function(*task(number, results)) for every name, in order.

        results : of the tasks `behind` places before it and earlier; later ones may be under way. So what comes out
        does not depend on how many processes there are.
        """
        self.progress.start(step, len(names))
        begun: list[Future] = []
        results: list[Any] = []
        for number in range(len(names) + behind):
            if number >= behind:
                with in_hand(step, names[number - behind]):
                    results.append(begun[number - behind].result())
                self.progress.advance(names[number - behind])
            if number < len(names):
                with in_hand(step, names[number]):
                    begun.append(self._submit(function, task(number, results)))
        return results

    def _submit(self, function: Callable, task: tuple) -> Future:
        """Return what comes of one task, done in this process where there is no other."""
        if self.processes > 1 or self._cluster is not None:
            self.warm()
            return self._executor.submit(function, *task)
        done: Future = Future()
        done.set_result(function(*task))
        return done


@dataclass(frozen=True)
class Begun:
    """Tasks under way. futures : one a task, or None when they wait to be done here."""

    progress: Progress
    function: Callable
    tasks: list[tuple]
    names: list[str]
    futures: list[Future] | None

    def results(self, step: str) -> list[Any]:
        """Wait for all and return their results in order, showing progress."""
        self.progress.start(step, len(self.tasks))
        if self.futures is None:
            results = []
            for task, name in zip(self.tasks, self.names, strict=True):
                with in_hand(step, name):
                    results.append(self.function(*task))
                self.progress.advance(name)
            return results
        waiting = {future: name for future, name in zip(self.futures, self.names, strict=True)}
        for future in as_completed(waiting):
            with in_hand(step, waiting[future]):
                future.result()
            self.progress.advance(waiting[future])
        return [future.result() for future in self.futures]


def _start(ready: Callable[[], None] | None, *modules: str) -> None:
    """Make a new process ready: it ends with its parent, modules are imported."""
    end_with_parent()
    if ready is not None:
        ready()
    for name in modules:
        importlib.import_module(name)


def _nothing() -> None:
    """A task that only makes a process start."""
