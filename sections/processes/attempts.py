"""Tasks that may never end or bring their process down: each is watched, its process can be replaced.

A time limit once decided which sections had exact STEP files, 83 or 81 of 87 by how busy the machine was; now a list in
the parameter file does (`step.tessellated`).
"""

from __future__ import annotations

import multiprocessing
import threading
from collections.abc import Callable
from dataclasses import dataclass
from multiprocessing.connection import Connection
from queue import Empty, SimpleQueue
from typing import Any

from sections.errors import BuildFailed, SectionsError
from sections.processes.context import end_with_parent, process_context
from sections.processes.progress import Progress

# What the CAD kernel raises for it.
_OUT_OF_MEMORY = "Standard_OutOfMemory"


@dataclass(frozen=True)
class Attempt:
    """What became of one task: its result, or why there is none. lost : for a reason that is no property of the task:
    its process was lost, a disk was full, memory ran out."""

    result: Any
    why: str | None
    lost: bool = False


class Attempts:
    """Processes that attempt tasks, kept from one step to the next. Use it in a `with` block.

    processes : how many work at once. ready : called in each process before its first task.
    """

    def __init__(self, processes: int, progress: Progress, ready: Callable[[], None] | None = None):
        self._progress = progress
        self._workers = [Worker(ready) for _ in range(processes)]

    def __enter__(self) -> Attempts:
        return self

    def __exit__(self, kind, error, trace) -> None:
        for worker in self._workers:
            worker.stop()

    def attempt_all(
        self, step: str, function: Callable, tasks: list[tuple], names: list[str], limit: float
    ) -> list[Attempt]:
        """Return what became of function(*task) for every task, in order.

        limit : s, for one task. What the function raises and its process dying leave a task without a result
        and end no other. Raises BuildFailed where a task takes longer than the limit: what comes out must not depend
        on how fast the machine is.
        """
        self._progress.start(step, len(tasks))
        waiting: SimpleQueue = SimpleQueue()
        for number, task in enumerate(tasks):
            waiting.put((number, task))
        attempts: list[Attempt | None] = [None] * len(tasks)
        late: list[str] = []

        def work(worker: Worker) -> None:
            while not late:
                try:
                    number, task = waiting.get_nowait()
                except Empty:
                    return
                attempts[number] = worker.attempt(function, task, limit)
                if attempts[number] is None:
                    late.append(names[number])
                self._progress.advance(names[number])

        threads = [threading.Thread(target=work, args=(worker,)) for worker in self._workers[: max(len(tasks), 1)]]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()
        if late:
            raise too_long(step, late[0], limit)
        return attempts


def too_long(step: str, name: str, limit: float) -> BuildFailed:
    """Return what is raised where a task takes longer than its limit, s."""
    text = f"{step}: {name} did not come to an end in step.limit, {limit:g} s"
    return BuildFailed(f"{text}; allow more, or name its sections in step.tessellated")


class Worker:
    """One process that does tasks, started with the first one and anew after it was lost. ready : called in it."""

    def __init__(self, ready: Callable[[], None] | None) -> None:
        self._ready = ready
        self._process: multiprocessing.process.BaseProcess | None = None
        self._line: Connection | None = None
        self._ready_for: Callable | None = None

    def attempt(self, function: Callable, task: tuple, limit: float) -> Attempt | None:
        """Return what became of a task, None where it took longer than `limit`, s."""
        try:
            self._make_ready(function)
            self._line.send(task)
            if self._line.poll(limit):
                return Attempt(*self._line.recv())
            self.stop()
            return None
        except (EOFError, OSError):
            # The latter where something sent to it was not read any more.
            why = (
                "the CAD kernel brought its process down"
                if self._ready_for is function
                else "no process for the CAD kernel started"
            )
        self.stop()
        return Attempt(None, why, lost=True)

    def _make_ready(self, function: Callable) -> None:
        """Have a process that holds the function; what it imports for it is not counted against a task."""
        if self._process is None:
            context = process_context()
            self._line, other = context.Pipe()
            process = context.Process(target=_serve, args=(other, self._ready), daemon=True)
            process.start()
            self._process = process
            other.close()
        if self._ready_for is not function:
            self._line.send(function)
            self._line.recv()
            self._ready_for = function

    def stop(self) -> None:
        """End the process."""
        if self._process is not None:
            self._process.kill()
            self._process.join()
            self._process = self._ready_for = None


def _serve(line: Connection, ready: Callable[[], None] | None) -> None:
    end_with_parent()
    if ready is not None:
        ready()
    function: Callable | None = None
    while True:
        sent = line.recv()
        if callable(sent):
            function = sent
            line.send("ready")
            continue
        try:
            line.send((function(*sent), None))
        except SectionsError as error:
            line.send((None, str(error)))
        except Exception as error:  # OCC raises kinds of its own; whatever it was becomes the reason that is reported
            kind = type(error).__name__
            passing = isinstance(error, OSError | MemoryError) or kind == _OUT_OF_MEMORY
            line.send((None, f"{kind}: {error}".splitlines()[0], passing))
