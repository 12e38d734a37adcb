"""What of a STEP file is taken: by name, by layer, by number."""

from __future__ import annotations

import difflib
from pathlib import Path
from typing import Literal

from OCP.TopoDS import TopoDS_Shape

from sections.errors import BadInput, Problem
from sections.solids.step_parts import StepPart, compound_of, step_parts

# "first", or names of parts, assemblies and layers, and numbers of parts, from 1; None: all of it.
Take = Literal["first"] | list[str | int] | None
_SHOWN = 12


def parts_taken(path: Path, take: Take) -> TopoDS_Shape:
    """Return the parts of a file that are asked for, as one shape. Raises BadInput for one that is not there."""
    parts = step_parts(path)
    if take == "first":
        first = next((part for part in parts if part.kind == "solid"), parts[0] if parts else None)
        chosen = [] if first is None else [first]
    else:
        chosen = _chosen(parts, take or [], path)
    if not chosen:
        raise BadInput([Problem(str(path), "body.take", str(take), "a file with parts in it", "export it again")])
    return compound_of([part.shape for part in chosen])


def _chosen(parts: list[StepPart], take: list[str | int], path: Path) -> list[StepPart]:
    chosen, unknown = [], []
    for asked in take:
        found = [part for number, part in enumerate(parts, 1) if asked in (number, *part.names, *part.layers)]
        chosen += [part for part in found if part not in chosen]
        unknown += [] if found else [asked]
    if unknown:
        known = list(dict.fromkeys(name for part in parts for name in (*part.names, *part.layers)))
        near = difflib.get_close_matches(str(unknown[0]), known, 3, 0.5)
        named = ", ".join(repr(name) for name in (near or known)[:_SHOWN])
        limit = f"names or layers of its parts, or their numbers, 1 to {len(parts)}; it has {named or 'no names'}"
        remedy = "correct it; `sections inspect` lists the parts"
        raise BadInput([Problem(str(path), "body.take", repr(one), limit, remedy) for one in unknown])
    return chosen
