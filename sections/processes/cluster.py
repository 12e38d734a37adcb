"""Work done on a Dask scheduler's workers, on this machine or others, instead of processes of the run's own.

Workers have one thread each, no nanny (whose children may start no processes, which exact solids are made in), the same
code and libraries, and see the same files under the same paths. A worker that is lost has its tasks done by another.
"""

from __future__ import annotations

import asyncio
import importlib
import logging
import multiprocessing
import secrets
from collections.abc import Callable
from concurrent.futures import Executor, as_completed
from pathlib import Path
from typing import TYPE_CHECKING, Any

from sections.errors import BadInput, Problem
from sections.processes.attempts import Attempt, Worker, too_long
from sections.processes.progress import Progress
from sections.results import code_digest

if TYPE_CHECKING:
    from distributed import Client, Future

# s; how long a scheduler may take to answer.
_PATIENCE = 10.0
_OPTION = "--cluster"
_LOST = {"KilledWorker", "CancelledError", "FutureCancelledError"}
# The process of this worker that attempts tasks, kept from one to the next.
_ATTEMPTING: list[Worker] = []


class Cluster:
    """Workers of a Dask scheduler, for one run.

    address : of the scheduler, "tcp://host:8786". shared : a folder that all workers must see; None asks for none.
    ready : called in each worker before its first task. Raises BadInput where they cannot do a run's work.
    """

    def __init__(self, address: str, shared: Path | None, ready: Callable[[], None] | None):
        self._address = address
        # Let go sooner, the scheduler would call them off.
        self._warming: list[Future] = []
        self._client = _connected(address)
        try:
            self.workers = self._sound_workers(shared)
            if ready is not None:
                self._client.run(ready)
        except BaseException:
            self._client.close()
            raise

    @property
    def executor(self) -> Executor:
        """An executor whose tasks the workers do."""
        return self._client.get_executor(pure=False)

    def warm(self, modules: tuple[str, ...]) -> None:
        """Have each worker import modules, and return at once."""
        for worker in self._client.nthreads() if modules else ():
            self._warming.append(self._client.submit(_import_all, modules, workers=[worker], pure=False))

    def close(self) -> None:
        """Let the workers go."""
        if self._client.status == "running":
            self._client.run(_let_go)
        self._client.close()

    def _sound_workers(self, shared: Path | None) -> int:
        """Return how many workers there are."""
        threads = self._client.nthreads()
        if not threads:
            raise self._refused("no worker", "a scheduler with workers", "start some: dask worker ADDRESS")
        if max(threads.values()) > 1:
            raise self._refused(f"{max(threads.values())} threads a worker", "one", "start them with --nthreads 1")
        mark = None if shared is None else shared / f"seen-{secrets.token_hex(8)}"
        if mark is not None:
            mark.parent.mkdir(parents=True, exist_ok=True)
            mark.touch()
        try:
            for worker, (code, sees, may_start) in self._client.run(_state_here, mark).items():
                if code != code_digest():
                    fix = "install the same there"
                    raise self._refused(f"{worker} has another code", "the code and libraries of this machine", fix)
                if not sees:
                    fix = "share it, the parameter file's folder and the output's, under the same paths"
                    raise self._refused(f"{worker} does not see {shared}", "a folder that all see", fix)
                if not may_start:
                    raise self._refused(f"{worker} may start no process", "one that may", "start it with --no-nanny")
        finally:
            if mark is not None:
                mark.unlink()
        return len(threads)

    def _refused(self, value: str, limit: str, fix: str) -> BadInput:
        return BadInput([Problem("(command line)", _OPTION, f"{self._address}: {value}", limit, fix)])


class ClusterAttempts:
    """Attempts, as of `Attempts`, each in a process beside the worker that has it in hand. ready : called in each of
    those first."""

    def __init__(self, executor: Executor, progress: Progress, ready: Callable[[], None] | None):
        self._executor, self._progress, self._ready = executor, progress, ready

    def __enter__(self) -> ClusterAttempts:
        return self

    def __exit__(self, kind, error, trace) -> None:
        """Nothing is left to stop: workers stop theirs as the run lets them go."""

    def attempt_all(
        self, step: str, function: Callable, tasks: list[tuple], names: list[str], limit: float
    ) -> list[Attempt]:
        """Return what became of function(*task) for every task, in order. limit : s, for one. Raises BuildFailed."""
        self._progress.start(step, len(tasks))
        begun = [self._executor.submit(_attempt_here, self._ready, function, task, limit) for task in tasks]
        waiting = dict(zip(begun, names, strict=True))
        for future in as_completed(waiting):
            if future.result() is None:
                raise too_long(step, waiting[future], limit)
            self._progress.advance(waiting[future])
        return [future.result() for future in begun]


def is_lost(error: BaseException | None) -> bool:
    """Return whether an error says that the scheduler is gone, or that a task's workers were lost again and again."""
    return type(error).__name__ in _LOST


def _connected(address: str) -> Client:
    try:
        from distributed import Client
    except ModuleNotFoundError:
        fix = "install it: pip install distributed"
        raise BadInput([Problem("(command line)", _OPTION, address, "the package distributed", fix)]) from None
    # Its client writes tracebacks of its own to the terminal where the other end is lost; that is said here. The
    # package sets levels as it is read.
    for name in ("distributed", "distributed.client"):
        logging.getLogger(name).setLevel(logging.CRITICAL + 1)
    try:
        # A client that finds no scheduler is heard of again as the run ends, with a traceback of its own.
        asyncio.run(asyncio.wait_for(_is_there(address), _PATIENCE))
        return Client(address, timeout=_PATIENCE, set_as_default=False)
    except (OSError, ValueError, TimeoutError) as error:
        said = (str(error) or type(error).__name__).splitlines()[0]
        limit = f"the address of a Dask scheduler that answers within {_PATIENCE:g} s, tcp://host:8786 ({said})"
        raise BadInput([Problem("(command line)", _OPTION, address, limit, "start one, or correct it")]) from None


async def _is_there(address: str) -> None:
    """Ask a scheduler who it is. Raises OSError, ValueError where none answers."""
    from distributed.core import rpc

    async with rpc(address) as there:
        if (await there.identity()).get("type") != "Scheduler":
            raise ValueError("something else answers there")


def _state_here(mark: Path | None) -> tuple[str, bool, bool]:
    """Return (the code's digest, whether a file is seen, whether processes may be started), of a worker."""
    return code_digest(), mark is None or mark.exists(), not multiprocessing.current_process().daemon


def _import_all(modules: tuple[str, ...]) -> None:
    for name in modules:
        importlib.import_module(name)


def _attempt_here(ready: Callable[[], None] | None, function: Callable, task: tuple, limit: float) -> Any:
    if not _ATTEMPTING:
        _ATTEMPTING.append(Worker(ready))
    return _ATTEMPTING[0].attempt(function, task, limit)


def _let_go() -> None:
    while _ATTEMPTING:
        _ATTEMPTING.pop().stop()
