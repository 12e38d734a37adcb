"""One result of a check."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

from pydantic import TypeAdapter

from sections.checks.codes import known_codes
from sections.numbers.words import figures, place_words

FINDINGS_SCHEMA = 1
FINDINGS_NAME = "findings.json"
Level = Literal["fault", "unmeasured", "note"]


@dataclass(frozen=True)
class Finding:
    """What a check found.

    code : which check, such as "wall-thin". level : "fault", "unmeasured" when it could not be measured, or "note" for
    what the builder should know and need not fix. part : section, pair or joint. measured, limit : in `unit`; None
    where nothing was measured. where : a place in the vehicle frame, mm, or None. text : a line for the builder.
    """

    code: str
    level: Level
    part: str
    measured: float | None
    limit: float | None
    unit: str
    where: tuple[float, float, float] | None
    text: str

    def __post_init__(self) -> None:
        if self.code not in known_codes():
            raise KeyError(f"{self.code}: not in the table of findings, codes.toml")

    def __str__(self) -> str:
        place = "" if self.where is None else f" at {place_words(self.where)}"
        numbers = ""
        if self.measured is not None and self.limit is not None:
            unit = f" {self.unit}" if self.unit else ""
            numbers = f": {figures(self.measured)}{unit}, limit {figures(self.limit)}"
        return f"{self.code}  {self.part}{numbers}{place}  {self.text}"


def finding_rows(findings: Iterable[Finding]) -> list[tuple[str, str, str]]:
    """Return findings as rows of a table: level, code, what it says."""
    return [(one.level, one.code, str(one).removeprefix(one.code).strip()) for one in findings]


@dataclass(frozen=True)
class Measure:
    """A number a check read off a part, kept whether or not it passes: the proof that something was measured."""

    name: str
    part: str
    value: float
    unit: str


@dataclass(frozen=True)
class Report:
    """What the checks of one run found and measured."""

    schema: int
    name: str
    parameters_sha256: str
    findings: tuple[Finding, ...]
    measures: tuple[Measure, ...]

    @property
    def to_fix(self) -> int:
        """How many of the findings are no mere notes."""
        return sum(finding.level != "note" for finding in self.findings)


_ADAPTER = TypeAdapter(Report)


def report_to_json(report: Report) -> str:
    """Return the report as JSON text."""
    return _ADAPTER.dump_json(report, indent=1).decode() + "\n"


def report_from_json(text: str) -> Report:
    """Return the report of a JSON text. Raises pydantic.ValidationError when it is not one."""
    return _ADAPTER.validate_json(text)


def judge_span(  # noqa: PLR0913  as many as a finding has
    code: str,
    part: str,
    measured: float,
    span: tuple[float, float],
    unit: str,
    where: tuple[float, float, float] | None,
    text: str,
) -> tuple[list[Finding], list[Measure]]:
    """Return ([fault] or [], [measure]) for a value that must lie in a span of (least, most)."""
    measures = [Measure(code, part, measured, unit)]
    low, high = span
    if low <= measured <= high:
        return [], measures
    return [Finding(code, "fault", part, measured, low if measured < low else high, unit, where, text)], measures


# What most checks return.
Found = tuple[list[Finding], list[Measure]]


def place(point) -> tuple[float, float, float]:
    """Return a point as three plain floats."""
    x, y, z = (float(c) for c in point)
    return x, y, z
