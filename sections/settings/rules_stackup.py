"""Contradictions in what errors may add up to."""

from __future__ import annotations

from pathlib import Path

from sections.settings.model import Settings


def stackup_makes_sense(settings: Settings, folder: Path):
    """It is put together in between the coldest and the warmest, and one limit holds."""
    table = settings.stackup
    if table.coldest > table.built:
        limit = f"stackup.built, {table.built:g}, or less"
        yield ("stackup", "coldest"), f"{table.coldest:g}", limit, "give the coldest it gets, or where it is built"
    if table.warmest < table.built:
        limit = f"stackup.built, {table.built:g}, or more"
        yield ("stackup", "warmest"), f"{table.warmest:g}", limit, "give the warmest it gets, or where it is built"
    if table.limit is not None and table.grade is not None:
        yield ("stackup", "grade"), repr(table.grade), "one of `limit` and `grade`", "take one of the two out"
