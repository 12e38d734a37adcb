"""How a command runs and ends: a pool for it, and an exit code for whatever happens. This and cli.py print and exit,
nothing else does."""

from __future__ import annotations

import sys
from collections.abc import Callable
from importlib import import_module
from typing import TYPE_CHECKING

import typer

from sections.errors import (
    EXIT_CLEAN,
    EXIT_FAULT,
    EXIT_FINDINGS,
    EXIT_STOPPED,
    BadInput,
    Problem,
    SectionsError,
)
from sections.numbers.words import printable
from sections.processes.stopping import end_by_signals
from sections.processes.temporary import keep_temporary_together

if TYPE_CHECKING:
    from sections.settings import Given


def start_up() -> None:
    """Have signals end this process, and what it keeps for a while go with it."""
    end_by_signals()
    try:
        keep_temporary_together()
    except SectionsError as error:
        typer.echo(printable(str(error)), err=True)
        sys.exit(error.exit_code)


def doing(command: str) -> Callable[..., int]:
    """Return what does a command; read within the run, so that stopping while it is read ends it as at any time."""
    return getattr(import_module(f"sections.commands.{command}"), f"run_{command}")


def given(allow_outside: bool, values: list[str] | None = None, name: str | None = None) -> Given:  # noqa: FBT001
    """Return what the command line gives beside a parameter file. values : "wheelbase=2100". Raises BadInput."""
    from sections.settings import Given

    pairs = [value.partition("=") for value in values or ()]
    wrong = [name for name, equals, value in pairs if not (name.strip() and equals and value.strip())]
    if wrong:
        limit = "a dimension and its value: --set wheelbase=2100"
        raise BadInput([Problem("(command line)", "--set", one, limit, "write both") for one in wrong])
    return Given({name.strip(): value.strip() for name, _, value in pairs}, name, allow_outside)


def answer(question: str) -> str:
    """Return what the user answers, "" for nothing."""
    try:
        return typer.prompt(question, default="", show_default=False, err=True)
    except typer.Abort:
        raise KeyboardInterrupt from None


def agrees(change: str, *, yes: bool) -> bool:
    """Show a change, and return whether the user agrees to it. yes : he did beforehand."""
    typer.echo(change, err=True)
    if yes:
        return True
    return sys.stdin.isatty() and typer.confirm("write it?", err=True)


def finish(processes: int, job: Callable, *, anew: bool = True, cluster: str | None = None) -> None:
    """Run a job (given a pool, it returns how many findings there are) and turn what happens into an exit code.

    anew : False for one that takes results kept from earlier runs, and keeps its own. cluster : address of a Dask
    scheduler whose workers do the work.
    """
    try:
        findings = _run(processes, job, anew=anew, cluster=cluster)
    except SectionsError as error:
        typer.echo(printable(str(error)), err=True)
        raise typer.Exit(error.exit_code) from None
    except KeyboardInterrupt:
        # A question that is not answered; signals end the run before they get here.
        typer.echo("stopped; earlier output is untouched", err=True)
        raise typer.Exit(EXIT_STOPPED) from None
    except Exception as error:
        from sections.processes.fault import fault_report

        typer.echo(printable(fault_report(error)), err=True)
        raise typer.Exit(EXIT_FAULT) from None
    raise typer.Exit(EXIT_FINDINGS if findings else EXIT_CLEAN)


def _run(processes: int, job: Callable, *, anew: bool, cluster: str | None) -> int:
    """Return how many findings a job has, given a pool."""
    import os

    from sections.processes.pool import Pool
    from sections.processes.progress import progress_on
    from sections.results import open_store
    from sections.solids.one_thread import keep_to_one_thread

    progress = progress_on(sys.stderr)
    try:
        store = None if anew else open_store()
        with Pool(processes or os.cpu_count() or 1, progress, store, keep_to_one_thread, cluster) as pool:
            findings = job(pool)
        for line in () if store is None else store.trim():
            progress.say(line)
    finally:
        progress.close()
    return findings
