"""The table of findings: every code there is, what it says, and what to do."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path


@dataclass(frozen=True)
class Explained:
    """Findings of one kind. level : "fault", "note", or either. says : what was found. fix : what to do. explains :
    codes of findings that may be there only because of these."""

    codes: tuple[str, ...]
    level: str
    says: str
    fix: str
    explains: tuple[str, ...] = ()


@lru_cache(maxsize=1)
def explained() -> tuple[Explained, ...]:
    """Return the table, in the order it is written in."""
    table = tomllib.loads((Path(__file__).parent / "codes.toml").read_text("utf-8"))
    return tuple(
        Explained(
            tuple(row["codes"]),
            row["level"],
            row["says"],
            row["fix"].replace("{own}", table["own"]),
            tuple(row.get("explains", ())),
        )  # fmt: skip
        for row in table["findings"]
    )


@lru_cache(maxsize=1)
def known_codes() -> dict[str, Explained]:
    """Return every code, with what is said of it."""
    return {code: row for row in explained() for code in row.codes}


def findings_page() -> str:
    """Return the table as a page of Markdown."""
    lines = [
        "# Findings",
        "",
        "What a build, a check or a plan says of the parts, measured on the files as read back. A name in front of a",
        "seam (`x1:X0R+X1R`) gives the two sections. A fault is to be fixed, a note to be known; what could not be",
        "measured counts as a fault. All of them, with every measure, are in `findings.json`.",
        "",
        "| finding | level | what it says | what to do |",
        "|---|---|---|---|",
    ]
    for row in explained():
        lines.append(f"| {', '.join(f'`{code}`' for code in row.codes)} | {row.level} | {row.says} | {row.fix} |")
    return "\n".join(lines) + "\n"
