"""What was measured on test prints, as a file of readings holds it."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from sections.settings.printer import Loss
from sections.settings.table import Table

Answer = Literal["jams", "presses", "slides", "loose"]
ANSWERS: tuple[Answer, ...] = ("jams", "presses", "slides", "loose")


class SizeRead(Table):
    """One thing callipers were put on. Lengths mm."""

    id: str = Field(description="what it is, as on the page of the test prints")
    kind: Literal["x", "y", "height", "hole", "thickness", "foot", "rise"] = Field(description="what it tells of")
    asked: float = Field(ge=0, le=2000, description="mm; as drawn")
    read: list[list[float]] = Field([], description="mm; a list for each print, several readings of one thing in it")


class LadderRead(Table):
    """One ladder that was tried. Fits mm per side."""

    id: str = Field(description="which ladder")
    kind: Literal["key", "dowel", "slot", "bolt", "insert"] = Field(description="of what fit")
    bought: float = Field(0.0, ge=0, le=200, description="mm; width of a bought piece, 0 for one that is printed too")
    marks: list[str] = Field(min_length=1, description="as they stand beside the rungs")
    fits: list[float] = Field(min_length=1, description="mm per side, as drawn, rising")
    said: list[list[Answer]] = Field([], description="a list for each print: an answer for each rung, in their order")


class TrialRead(Table):
    """Something tried from easy to hard. Values in what they are marked with, mm or deg."""

    id: str = Field(description="which")
    values: list[float] = Field(min_length=1, description="what it is marked with")
    said: list[float] = Field([], description="the last good one, for each print")


class Readings(Table):
    """A file of readings. shrink : what the files of these prints were drawn larger for."""

    made_for: str = Field(description="name of the job the test prints were made for")
    material: str = Field(description="what they were printed in")
    shrink: list[Loss] = Field(min_length=3, max_length=3, description="printer.shrink they were made with")
    sizes: list[SizeRead] = Field([], description="what callipers were put on")
    ladders: list[LadderRead] = Field([], description="what was tried in ladders")
    trials: list[TrialRead] = Field([], description="what was tried from easy to hard")
