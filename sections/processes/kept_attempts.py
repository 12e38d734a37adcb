"""Attempts whose results outlive the run: what was made before is not attempted, nor is a process started for it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from sections.processes.attempts import Attempt, Attempts
from sections.results.scratch import results_of


@dataclass(frozen=True)
class Made:
    """What a task made: plain, and the files it wrote into the scratch folder, by their names there."""

    result: Any
    files: tuple[str, ...]


@dataclass(frozen=True)
class KeptTask:
    """A task for another process, which returns a Made. given : all it depends on, by contents; never by names in the
    scratch folder, which stands first among the arguments."""

    name: str
    arguments: tuple
    given: Any


def attempt_kept(
    attempts: Attempts, step: str, function: Callable[..., Made], tasks: list[KeptTask], limit: float
) -> list[Attempt]:
    """Return what became of function(*arguments) for every task, in order, as `attempt_all` does; files of tasks done
    in an earlier run are put back into the scratch folder. limit : s, of one task."""
    done: list[Attempt | None] = [_again(step, task) for task in tasks]
    rest = [task for task, one in zip(tasks, done, strict=True) if one is None]
    names = [task.name for task in rest]
    made = iter(attempts.attempt_all(step, function, [task.arguments for task in rest], names, limit)) if rest else ()
    for number, task in enumerate(tasks):
        if done[number] is None:
            done[number] = _keep(step, task, next(made))
    return done


def _again(step: str, task: KeptTask) -> Attempt | None:
    """Put back what a task made in an earlier run, and return it; None where it was not made before."""
    folder = task.arguments[0]
    store = results_of(folder)
    kept = store.get(store.key(step, task.given))
    if kept is None:
        return None
    result, files, why = kept[0]
    for name, content in files:
        beside = folder / f".{name}.partial"
        beside.write_bytes(content)
        beside.replace(folder / name)
    return Attempt(result, why)


def _keep(step: str, task: KeptTask, attempt: Attempt) -> Attempt:
    """Keep what a task made, or why it could not; a process that was lost says nothing of the next one."""
    folder = task.arguments[0]
    if attempt.lost:
        return attempt
    files = () if attempt.why is not None else attempt.result.files
    result = None if attempt.why is not None else attempt.result.result
    contents = tuple((name, (folder / name).read_bytes()) for name in files)
    store = results_of(folder)
    store.once(step, task.given, lambda: (result, contents, attempt.why))
    return Attempt(result, attempt.why)
