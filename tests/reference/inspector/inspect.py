"""The whole inspection of one build."""

from __future__ import annotations

import time
from pathlib import Path

from .assembly import inspect_overlaps, inspect_steps
from .bed import inspect_beds
from .body import Body
from .build import Build
from .fasteners import inspect_bolts, inspect_bosses, inspect_pins
from .jig import inspect_jig
from .report import Report
from .skin import inspect_skin


def inspect(out: Path, parameters: Path | None, say=None) -> Report:
    """Return what is found in a folder of results; the skin is looked at with the parameter file it came from."""
    build, report = Build(out), Report()
    body = None if parameters is None else Body.of(parameters)
    looks = [
        ("beds", lambda: inspect_beds(build, report, size=None if body is None else body.printer)),
        ("pins", lambda: inspect_pins(build, report)),
        ("bolts", lambda: inspect_bolts(build, report)),
        ("bosses", lambda: inspect_bosses(build, report)),
        ("overlaps", lambda: inspect_overlaps(build, report)),
        ("steps", lambda: inspect_steps(build, report)),
        ("jig", lambda: inspect_jig(build, report)),
    ]
    if body is not None:
        looks.insert(0, ("skin", lambda: inspect_skin(build, body, report)))
    for what, look in looks:
        began = time.time()
        look()
        if say is not None:
            say(f"{what}: {time.time() - began:.0f} s", flush=True)
    return report
