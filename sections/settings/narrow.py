"""Settings cut to the tables a step is given, so that a change of any other leaves its result as it is."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from sections.settings.joints import SeamsTable
from sections.settings.model import Settings


@dataclass(frozen=True)
class _NotGiven:
    """Stands for a table that a step is not given. Whatever is asked of it raises: a step that read one would go on
    with results made for another value of it."""

    table: str

    def __getattr__(self, name: str) -> Any:
        if name.startswith("__"):
            raise AttributeError(name)
        raise LookupError(f"a step reads {self.table}.{name}, and is not given {self.table}")

    def __iter__(self) -> Any:
        raise LookupError(f"a step reads {self.table}, and is not given it")

    def __bool__(self) -> bool:
        raise LookupError(f"a step asks for {self.table}, and is not given it")


def narrowed(settings: Settings, tables: tuple[str, ...]) -> Settings:
    """Return settings of which only some tables can be read: of the others LookupError is raised."""
    unknown = set(tables) - set(type(settings).model_fields)
    if unknown:
        raise LookupError(f"no tables of the parameter file: {', '.join(sorted(unknown))}")
    rest = [name for name in type(settings).model_fields if name not in tables]
    return settings.model_copy(update={name: _NotGiven(name) for name in rest})


def without_places(seams: SeamsTable) -> SeamsTable:
    """Return the table of seams without where they run and what they keep clear of: what is asked of each is left."""
    nowhere = {"axis": None, "normal": None, "at": 0.0, "off": None, "within": []}
    planes = [plane.model_copy(update=nowhere) for plane in seams.planes]
    return seams.model_copy(update={"planes": planes, "even": [], "clear": []})
