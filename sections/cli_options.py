"""Arguments and options that several commands take."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

ParameterFile = Annotated[Path, typer.Argument(help="the parameter file (TOML)")]
OutFolder = Annotated[Path, typer.Option(help="where output folders go")]
AllowOutside = Annotated[
    bool, typer.Option("--allow-outside", help="read and run files outside the parameter file's folder too")
]
Anew = Annotated[bool, typer.Option("--anew", help="take no results kept from earlier runs")]
Processes = Annotated[int, typer.Option(min=0, help="processes to use; 0 for one a core")]
OnCluster = Annotated[
    str | None,
    typer.Option("--cluster", metavar="ADDRESS", help="of a Dask scheduler; its workers do the work instead"),
]
Values = Annotated[
    list[str] | None,
    typer.Option("--set", metavar="NAME=VALUE", help="a dimension's value for this run; may be given several times"),
]
JobName = Annotated[str | None, typer.Option("--name", help="the job's name for this run, and its folder's")]
