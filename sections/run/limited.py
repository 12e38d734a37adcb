"""Tasks that may take too long or bring their process down: each has a time limit, its process can be replaced."""

from __future__ import annotations

import multiprocessing
import threading
from collections.abc import Callable
from dataclasses import dataclass
from multiprocessing.connection import Connection
from queue import Empty, SimpleQueue
from typing import Any

from sections.errors import SectionsError
from sections.run.progress import Progress


@dataclass(frozen=True)
class Attempt:
    """What became of one task: its result, or why there is none."""

    result: Any
    why: str | None


def attempt_all(
    step: str,
    function: Callable,
    tasks: list[tuple],
    names: list[str],
    limit: float,
    processes: int,
    progress: Progress,
) -> list[Attempt]:
    """Return what became of function(*task) for every task, in order.

    limit : seconds for one task; past it, its process is stopped and another takes its place. Only what the function
    raises, its overrunning and its process dying end a task without a result; none of them ends the others.
    """
    progress.start(step, len(tasks))
    waiting: SimpleQueue = SimpleQueue()
    for number, task in enumerate(tasks):
        waiting.put((number, task))
    attempts: list[Attempt | None] = [None] * len(tasks)

    def work() -> None:
        worker = _Worker(function)
        while True:
            try:
                number, task = waiting.get_nowait()
            except Empty:
                worker.stop()
                return
            attempts[number] = worker.attempt(task, limit)
            progress.advance(names[number])

    threads = [threading.Thread(target=work) for _ in range(max(min(processes, len(tasks)), 1))]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return attempts


class _Worker:
    """One process that does tasks, started anew after it was lost."""

    def __init__(self, function: Callable):
        self._function = function
        self._process: multiprocessing.process.BaseProcess | None = None
        self._line: Connection | None = None

    def attempt(self, task: tuple, limit: float) -> Attempt:
        if self._process is None:
            self._start()
        self._line.send(task)
        if not self._line.poll(limit):
            self.stop()
            return Attempt(None, f"OCC took more than {limit:g} s")
        try:
            return Attempt(*self._line.recv())
        except EOFError:
            self.stop()
            return Attempt(None, "OCC brought its process down")

    def _start(self) -> None:
        context = multiprocessing.get_context("spawn")
        self._line, other = context.Pipe()
        self._process = context.Process(target=_serve, args=(other, self._function), daemon=True)
        self._process.start()
        other.close()
        self._line.recv()  # ready: what it imports is not counted against its first task

    def stop(self) -> None:
        if self._process is not None:
            self._process.kill()
            self._process.join()
            self._process = None


def _serve(line: Connection, function: Callable) -> None:
    line.send("ready")
    while True:
        task = line.recv()
        try:
            line.send((function(*task), None))
        except SectionsError as error:
            line.send((None, str(error)))
        except Exception as error:  # OCC raises kinds of its own; whatever it was becomes the reason that is told
            line.send((None, f"{type(error).__name__}: {error}".splitlines()[0]))
