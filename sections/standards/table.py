"""Reading the tables that lie beside this file."""

from __future__ import annotations

import tomllib
from functools import cache
from importlib import resources
from types import MappingProxyType


@cache
def read_table(name: str) -> MappingProxyType:
    """Return the table `name` of this package (a TOML file) as a read-only mapping."""
    text = resources.files(__package__).joinpath(f"{name}.toml").read_text("utf-8")
    return MappingProxyType(tomllib.loads(text))
