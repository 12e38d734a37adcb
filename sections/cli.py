"""The command line: the only place that prints and exits.

Python looks through all it holds when it ends: 1 to 2 s with OCC's names read. They are kept from it (`gc.freeze`),
first of all: libraries bound by nanobind that are kept from it too complain of leaks.
"""

from __future__ import annotations

import sys
from collections.abc import Callable
from importlib import import_module
from pathlib import Path
from typing import Annotated

import typer

from sections import __version__
from sections.cli_options import AllowOutside, Anew, OutFolder, ParameterFile, Processes
from sections.errors import EXIT_CLEAN, EXIT_FAULT, EXIT_FINDINGS, EXIT_STOPPED, SectionsError
from sections.numbers.words import printable
from sections.processes.stopping import end_by_signals

app = typer.Typer(
    add_completion=False,
    no_args_is_help=True,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,
    help="Full-size vehicle bodies as printable, mating, measured sections. "
    "Exit codes: 0 clean, 1 findings, 2 bad input, 3 output folder refused, 4 a part could not be built, "
    "5 the program itself is at fault, 130 stopped by Ctrl-C, 143 by TERM, 129 by HUP.",
)


@app.command()
def build(
    parameters: ParameterFile,
    only: Annotated[
        list[str] | None, typer.Option(metavar="ID", help="one section and its hardware, in a folder of its own")
    ] = None,
    pictures: Annotated[bool, typer.Option(help="also render pictures of the body, assembled and apart")] = False,
    check: Annotated[bool, typer.Option(help="measure what was built")] = True,
    out: OutFolder = Path("out"),
    processes: Processes = 0,
    allow_outside: AllowOutside = False,
    anew: Anew = False,
) -> None:
    """Build all parts, measure and report them."""
    _finish(
        processes,
        lambda pool: _command("run_build")(
            parameters, out, pool, allow_outside=allow_outside, only=only or [], pictures=pictures, check=check
        ),
        anew=anew,
    )


@app.command()
def plan(
    parameters: ParameterFile,
    out: OutFolder = Path("out"),
    processes: Processes = 0,
    allow_outside: AllowOutside = False,
    anew: Anew = False,
) -> None:
    """Find seams until every section fits the bed.

    Seams that are given stay; the plan is measured, and written with pictures.
    """
    _finish(processes, lambda pool: _command("run_plan")(parameters, out, pool, allow_outside=allow_outside), anew=anew)


@app.command()
def check(
    parameters: ParameterFile,
    out: OutFolder = Path("out"),
    processes: Processes = 0,
    allow_outside: AllowOutside = False,
    anew: Anew = False,
) -> None:
    """Measure built output, print the findings."""
    _finish(
        processes, lambda pool: _command("run_check")(parameters, out, pool, allow_outside=allow_outside), anew=anew
    )


@app.command()
def coupon(
    parameters: ParameterFile,
    proof: Annotated[bool, typer.Option(help="a seam in small instead, to prove the fits that were found")] = False,
    out: OutFolder = Path("out"),
    allow_outside: AllowOutside = False,
) -> None:
    """Make test prints to dial in the fits.

    Ladders of fits, bars for callipers, a corner of wall and flange; and the form to fill in.
    """
    _finish(1, lambda pool: _command("run_coupon")(parameters, out, pool, allow_outside=allow_outside, proof=proof))


@app.command()
def calibrate(
    parameters: ParameterFile,
    readings: Annotated[Path, typer.Argument(help="what was measured on the test prints (TOML): the form, filled in")],
    profile: Annotated[
        Path | None, typer.Option(metavar="FILE", help="the printer's profile to write; else beside the parameter file")
    ] = None,
    ask: Annotated[
        bool, typer.Option("--ask", help="ask for what the form lacks, value by value; it is written into it")
    ] = False,
    yes: Annotated[bool, typer.Option("--yes", help="write the profile without asking")] = False,
    out: OutFolder = Path("out"),
    allow_outside: AllowOutside = False,
) -> None:
    """Write a printer's profile from readings.

    What the test prints say of the printer, with intervals; the profile is written once you agree.
    """

    def answer(question: str) -> str:
        try:
            return typer.prompt(question, default="", show_default=False, err=True)
        except typer.Abort:
            raise KeyboardInterrupt from None

    def agrees(change: str) -> bool:
        typer.echo(change, err=True)
        if yes:
            return True
        if not sys.stdin.isatty():
            return False
        return typer.confirm("write it?", err=True)

    asking = answer if ask else None
    _finish(
        1,
        lambda pool: _command("run_calibrate")(
            parameters, readings, profile, out, pool, allow_outside=allow_outside, ask=asking, agrees=agrees
        ),
    )


@app.command()
def stackup(
    parameters: ParameterFile,
    out: OutFolder = Path("out"),
    processes: Processes = 0,
    allow_outside: AllowOutside = False,
    anew: Anew = False,
) -> None:
    """Add up what joints and prints may be off.

    Section by section, from datum or jig; and what heat does.
    """
    _finish(
        processes, lambda pool: _command("run_stackup")(parameters, out, pool, allow_outside=allow_outside), anew=anew
    )


@app.command()
def new(
    parameters: Annotated[Path, typer.Argument(help="the parameter file to write (TOML)")],
    body: Annotated[
        Path,
        typer.Option(metavar="FILE", help="the body: STEP, a closed STL, OBJ, PLY or 3MF mesh, or file.py:function"),
    ],
    units: Annotated[
        str | None, typer.Option(metavar="UNIT", help="mm, cm, m, in or ft; needed where the file states none")
    ] = None,
    scale: Annotated[float, typer.Option(min=0.0, help="factor applied after the unit")] = 1.0,
) -> None:
    """Write a commented parameter file.

    To start from, its seams spaced to fit a 300 mm bed.
    """
    _finish(1, lambda pool: _command("run_new")(parameters, body, units, scale, pool))


@app.command()
def inspect(
    file: Annotated[Path, typer.Argument(help="the file to look at: STL, OBJ, PLY, 3MF or STEP")],
    units: Annotated[
        str | None, typer.Option(metavar="UNIT", help="mm, cm, m, in or ft; needed where the file states none")
    ] = None,
    deviation: Annotated[
        float, typer.Option(min=0.01, max=2.0, help="mm; mesh.deviation of the build it is for")
    ] = 0.1,
    scale: Annotated[float, typer.Option(min=1e-6, max=1e6, help="body.scale of the build it is for")] = 1.0,
    trial: Annotated[bool, typer.Option(help="try what may repair it, so that what is printed does")] = True,
    out: OutFolder = Path("out"),
) -> None:
    """Report what keeps a body from being built.

    What, how often, where, what it means and what to write, with pictures.
    """
    asked = {"units": units, "scale": scale, "deviation": deviation, "trial": trial}
    _finish(1, lambda pool: _command("run_inspect")(file, asked, out, pool))


@app.command()
def prepare(parameters: ParameterFile, out: OutFolder = Path("out"), allow_outside: AllowOutside = False) -> None:
    """Make a scan into a sound skin, not yet built.

    Scaled, set, repaired and mirrored as the parameters say: the skin, a report, pictures.
    """
    _finish(1, lambda pool: _command("run_prepare")(parameters, out, pool, allow_outside=allow_outside))


@app.command()
def printed(
    parameters: ParameterFile,
    ids: Annotated[list[str] | None, typer.Argument(metavar="[ID]...", help="sections that were printed")] = None,
    forget: Annotated[bool, typer.Option("--forget", help="take them off the list again")] = False,
    out: OutFolder = Path("out"),
    allow_outside: AllowOutside = False,
) -> None:
    """Note what was printed, or list it.

    Each section's file is kept beside the parameter file, with what it is to go together with.
    """
    asked = {"ids": ids or [], "forget": forget, "allow_outside": allow_outside}
    _finish(1, lambda pool: _command("run_printed")(parameters, out, pool, **asked))


@app.command()
def changed(parameters: ParameterFile, out: OutFolder = Path("out"), allow_outside: AllowOutside = False) -> None:
    """Say what printed sections are still good.

    Those that no longer fit or look different, since which edit, by how much, and what printing again takes.
    """
    _finish(0, lambda pool: _command("run_changed")(parameters, out, pool, allow_outside=allow_outside))


@app.command()
def results(empty: Annotated[bool, typer.Option("--empty", help="take all of them away")] = False) -> None:
    """Say what is kept of earlier runs, and where.

    Results of steps, so that a build makes only what an edit reaches.
    """
    _finish(1, lambda pool: _command("run_results")(pool, empty=empty))


@app.callback(invoke_without_command=True)
def _version(version: Annotated[bool, typer.Option("--version", help="print the version")] = False) -> None:
    if version:
        typer.echo(__version__)
        raise typer.Exit


def _command(name: str) -> Callable[..., int]:
    """Return what does a command; read within the run, so that stopping while it is read ends it as at any time."""
    home = "sections.run.printed_commands" if name in ("run_printed", "run_changed") else "sections.run.commands"
    return getattr(import_module(home), name)


def _finish(processes: int, job: Callable, *, anew: bool = True) -> None:
    """Run a job (given a pool, it returns how many findings there are) and turn what happens into an exit code.

    anew : False for one that takes results kept from earlier runs, and keeps its own.
    """
    try:
        findings = _run(processes, job, anew=anew)
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


def _run(processes: int, job: Callable, *, anew: bool) -> int:
    """Return how many findings a job has, given a pool."""
    import os

    from sections.processes.pool import Pool
    from sections.processes.progress import progress_on
    from sections.results import open_store

    progress = progress_on(sys.stderr)
    try:
        store = None if anew else open_store()
        with Pool(processes or os.cpu_count() or 1, progress, store) as pool:
            findings = job(pool)
        for line in () if store is None else store.trim():
            progress.say(line)
    finally:
        progress.close()
    return findings


def main() -> None:
    """Run the command line."""
    end_by_signals()
    app()
