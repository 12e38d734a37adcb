"""Reading a file of readings: its model, then whether what it says can be."""

from __future__ import annotations

from pathlib import Path

from pydantic import ValidationError

from sections.calibration.model import Readings
from sections.calibration.plausibility import complaints
from sections.errors import BadInput, Problem
from sections.settings.layers import read_toml
from sections.settings.problems import dotted, problem_parts


def load_readings(path: Path, *, empty: bool = False) -> Readings:
    """Return a file of readings. empty : whether it may have none yet. Raises BadInput with every problem found."""
    data = read_toml(path)
    try:
        readings = Readings.model_validate(data)
    except ValidationError as error:
        problems = []
        for detail in error.errors():
            key, value, limit, remedy = problem_parts(detail, Readings, data)
            problems.append(Problem(str(path), _named(key, data), value, limit, remedy))
        raise BadInput(problems) from None
    problems = [
        Problem(str(path), _named(key, data), value, limit, remedy)
        for key, value, limit, remedy in complaints(readings, empty=empty)
    ]
    if problems:
        raise BadInput(problems)
    return readings


def _named(key: tuple, data: dict) -> str:
    """Return a key as it is spoken of, with the id of what it belongs to."""
    text = dotted(key)
    if len(key) > 1 and isinstance(key[1], int):
        rows = data.get(key[0])
        row = rows[key[1]] if isinstance(rows, list) and key[1] < len(rows) else None
        if isinstance(row, dict) and isinstance(row.get("id"), str):
            text += f" ({row['id']})"
    return text
