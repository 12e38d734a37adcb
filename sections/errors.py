"""Every error a run can end with, each with its exit code."""

from __future__ import annotations

from dataclasses import dataclass

EXIT_CLEAN = 0
EXIT_FINDINGS = 1
# The program is at fault.
EXIT_FAULT = 5
# The user stopped the run, as by Ctrl-C.
EXIT_STOPPED = 130


class SectionsError(Exception):
    """The base of every error this project raises for a user to read."""

    exit_code = EXIT_FAULT


class BuildFailed(SectionsError):
    """A part could not be made; names the part, the step and what was measured."""

    exit_code = 4


class NotExact(BuildFailed):
    """A section has no exact solid, and why; its STEP file is made another way and the manifest says so."""


class OutputRefused(SectionsError):
    """The output folder cannot be written, read, or is in use by another run."""

    exit_code = 3


# Stands for the parameter file where its path is not known: in what works on settings alone.
PARAMETERS = "(parameters)"


@dataclass(frozen=True)
class Problem:
    """One thing wrong with the input: where, what, the limit, and what to change. line : in the file, 0 where that is
    not known. done : what had been done by then, a line each."""

    file: str
    key: str
    value: str
    limit: str
    remedy: str
    line: int = 0
    done: tuple[str, ...] = ()

    def __str__(self) -> str:
        shown = f" = {self.value}" if self.value else ""
        line = f", line {self.line}" if self.line else ""
        done = "".join(f"\n    done: {one}" for one in self.done)
        return f"{self.file}{line}: {self.key}{shown}\n    must be: {self.limit}{done}\n    fix: {self.remedy}"


class BadInput(SectionsError):
    """The parameter file, or a file it names, cannot be used; carries every problem found."""

    exit_code = 2

    def __init__(self, problems: list[Problem]):
        self.problems = list(problems)
        # What it is made of again in another process.
        super().__init__(self.problems)

    def __str__(self) -> str:
        return "\n".join(str(problem) for problem in self.problems)
