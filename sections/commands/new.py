"""A starter of a parameter file."""

from __future__ import annotations

from pathlib import Path

from sections.processes.context import read_ahead
from sections.processes.pool import Pool
from sections.run.ahead import FOREIGN


def run_new(parameters: Path, body: Path, units: str | None, scale: float, pool: Pool) -> int:
    """Write a starter parameter file for a body. scale : factor of its size."""
    read_ahead((FOREIGN,))
    from sections.run.starting import start

    for line in start(parameters, body, units, scale, pool.progress.say):
        pool.progress.say(line)
    return 0
