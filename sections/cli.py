"""The command line: this and cli_run.py are the only places that print and exit.

Python looks through all it holds when it ends: 1 to 2 s with OCC's names read. They are kept from it (`gc.freeze`),
first of all: libraries bound by nanobind that are kept from it too complain of leaks.
"""

from __future__ import annotations

from functools import partial
from pathlib import Path
from typing import Annotated

import typer

from sections import __version__
from sections.cli_options import AllowOutside, Anew, JobName, OnCluster, OutFolder, ParameterFile, Processes, Values
from sections.cli_run import agrees, answer, doing, finish, given, start_up

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
    out: OutFolder = Path("out"), processes: Processes = 0, allow_outside: AllowOutside = False,
    set_: Values = None, name: JobName = None, anew: Anew = False, cluster: OnCluster = None,
) -> None:  # fmt: skip
    """Build all parts, measure and report them."""
    finish(
        processes,
        lambda pool: doing("build")(
            parameters,
            out,
            pool,
            given=given(allow_outside, set_, name),
            only=only or [],
            pictures=pictures,
            check=check,
        ),
        anew=anew, cluster=cluster,
    )  # fmt: skip


@app.command()
def plan(
    parameters: ParameterFile,
    out: OutFolder = Path("out"), processes: Processes = 0, allow_outside: AllowOutside = False,
    set_: Values = None, name: JobName = None, anew: Anew = False, cluster: OnCluster = None,
) -> None:  # fmt: skip
    """Find seams until every section fits the bed.

    Seams that are given stay; the plan is measured, and written with pictures.
    """
    finish(
        processes,
        lambda pool: doing("plan")(parameters, out, pool, given=given(allow_outside, set_, name)),
        anew=anew, cluster=cluster,
    )  # fmt: skip


@app.command()
def check(
    parameters: ParameterFile,
    out: OutFolder = Path("out"), processes: Processes = 0, allow_outside: AllowOutside = False,
    set_: Values = None, name: JobName = None, anew: Anew = False, cluster: OnCluster = None,
) -> None:  # fmt: skip
    """Measure built output, print the findings."""
    finish(
        processes,
        lambda pool: doing("check")(parameters, out, pool, given=given(allow_outside, set_, name)),
        anew=anew, cluster=cluster,
    )  # fmt: skip


@app.command()
def coupon(
    parameters: ParameterFile,
    proof: Annotated[bool, typer.Option(help="a seam in small instead, to prove the fits that were found")] = False,
    out: OutFolder = Path("out"),
    allow_outside: AllowOutside = False,
    set_: Values = None,
    name: JobName = None,
) -> None:
    """Make test prints to dial in the fits.

    Ladders of fits, bars for callipers, a corner of wall and flange; and the form to fill in.
    """
    finish(1, lambda pool: doing("coupon")(parameters, out, pool, given=given(allow_outside, set_, name), proof=proof))


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

    asked = {"ask": answer if ask else None, "agrees": partial(agrees, yes=yes)}
    finish(
        1,
        lambda pool: doing("calibrate")(parameters, readings, profile, out, pool, given=given(allow_outside), **asked),
    )


@app.command()
def stackup(
    parameters: ParameterFile,
    out: OutFolder = Path("out"), processes: Processes = 0, allow_outside: AllowOutside = False,
    set_: Values = None, name: JobName = None, anew: Anew = False,
) -> None:  # fmt: skip
    """Add up what joints and prints may be off.

    Section by section, from datum or jig; and what heat does.
    """
    finish(
        processes,
        lambda pool: doing("stackup")(parameters, out, pool, given=given(allow_outside, set_, name)),
        anew=anew,
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
    finish(1, lambda pool: doing("new")(parameters, body, units, scale, pool))


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
    finish(1, lambda pool: doing("inspect")(file, asked, out, pool))


@app.command()
def prepare(parameters: ParameterFile, out: OutFolder = Path("out"), allow_outside: AllowOutside = False) -> None:
    """Make a scan into a sound skin, not yet built.

    Scaled, set, repaired and mirrored as the parameters say: the skin, a report, pictures.
    """
    finish(1, lambda pool: doing("prepare")(parameters, out, pool, given=given(allow_outside)))


@app.command()
def printed(
    parameters: ParameterFile,
    ids: Annotated[list[str] | None, typer.Argument(metavar="[ID]...", help="sections that were printed")] = None,
    forget: Annotated[bool, typer.Option("--forget", help="take them off the list again")] = False,
    out: OutFolder = Path("out"),
    allow_outside: AllowOutside = False,
    set_: Values = None,
    name: JobName = None,
) -> None:
    """Note what was printed, or list it.

    Each section's file is kept beside the parameter file, with what it is to go together with.
    """
    finish(
        1,
        lambda pool: doing("printed")(
            parameters, out, pool, ids=ids or [], forget=forget, given=given(allow_outside, set_, name)
        ),
    )


@app.command()
def changed(
    parameters: ParameterFile,
    out: OutFolder = Path("out"),
    allow_outside: AllowOutside = False,
    set_: Values = None,
    name: JobName = None,
) -> None:
    """Say what printed sections are still good.

    Those that no longer fit or look different, since which edit, by how much, and what printing again takes.
    """
    finish(0, lambda pool: doing("changed")(parameters, out, pool, given=given(allow_outside, set_, name)))


@app.command()
def compare(
    before: Annotated[Path, typer.Argument(help="a parameter file, or an output folder")],
    after: Annotated[Path, typer.Argument(help="another")],
    out: OutFolder = Path("out"), allow_outside: AllowOutside = False,
) -> None:  # fmt: skip
    """Show what two builds differ in.

    Keys, sections and by how much, what it takes; a page with a picture.
    """
    finish(0, lambda pool: doing("compare")(before, after, out, pool, given=given(allow_outside)))


@app.command()
def variants(
    parameters: ParameterFile,
    ids: Annotated[list[str] | None, typer.Argument(metavar="[ID]...", help="of [[variants]]; none for all")] = None,
    pictures: Annotated[bool, typer.Option(help="also render pictures of each")] = False,
    check: Annotated[bool, typer.Option(help="measure what was built")] = True,
    out: OutFolder = Path("out"), processes: Processes = 0, allow_outside: AllowOutside = False,
    set_: Values = None, name: JobName = None, anew: Anew = False, cluster: OnCluster = None,
) -> None:  # fmt: skip
    """Build a body at several sets of dimensions.

    The file as it stands and its [[variants]], each in a folder of its own, compared, with a page for all.
    """
    finish(
        processes,
        lambda pool: doing("variants")(
            parameters, out, pool, given=given(allow_outside, set_, name), ids=ids or [], pictures=pictures, check=check
        ),
        anew=anew, cluster=cluster,
    )  # fmt: skip


@app.command()
def results(empty: Annotated[bool, typer.Option("--empty", help="take all of them away")] = False) -> None:
    """Say what is kept of earlier runs, and where.

    Results of steps, so that a build makes only what an edit reaches.
    """
    finish(1, lambda pool: doing("results")(pool, empty=empty))


@app.callback(invoke_without_command=True)
def _version(version: Annotated[bool, typer.Option("--version", help="print the version")] = False) -> None:
    if version:
        typer.echo(__version__)
        raise typer.Exit


def main() -> None:
    """Run the command line."""
    start_up()
    app()
