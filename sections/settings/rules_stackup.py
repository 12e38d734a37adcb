"""Contradictions in what errors may add up to."""

from __future__ import annotations

from pathlib import Path

from sections.settings.model import Settings


def stackup_makes_sense(settings: Settings, folder: Path):
    """It is put together in between the coldest and the warmest, and one limit holds."""
    table = settings.stackup
    if table.lowest_temperature > table.assembly_temperature:
        limit = f"stackup.assembly_temperature, {table.assembly_temperature:g}, or less"
        yield (
            ("stackup", "lowest_temperature"),
            f"{table.lowest_temperature:g}",
            limit,
            "give the coldest it gets, or where it is built",
        )
    if table.highest_temperature < table.assembly_temperature:
        limit = f"stackup.assembly_temperature, {table.assembly_temperature:g}, or more"
        yield (
            ("stackup", "highest_temperature"),
            f"{table.highest_temperature:g}",
            limit,
            "give the warmest it gets, or where it is built",
        )
    if table.limit is not None and table.tolerance_class is not None:
        yield (
            ("stackup", "tolerance_class"),
            repr(table.tolerance_class),
            "one of `limit` and `tolerance_class`",
            "take one of the two out",
        )
