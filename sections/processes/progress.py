"""What the user sees while it works: a bar on a terminal, plain lines elsewhere."""

from __future__ import annotations

import sys
import time
from typing import Protocol, TextIO

from sections.numbers.words import printable


class Progress(Protocol):
    """Told of every step and every finished item."""

    def start(self, step: str, total: int) -> None:
        """A step with `total` items begins."""

    def advance(self, item: str) -> None:
        """One item of the step is finished."""

    def say(self, line: str) -> None:
        """A line for the user."""

    def close(self) -> None:
        """The run is over, well or not."""


class Silent:
    """Shows nothing; for tests and for use from Python."""

    def start(self, step: str, total: int) -> None:
        """Show nothing."""

    def advance(self, item: str) -> None:
        """Show nothing."""

    def say(self, line: str) -> None:
        """Show nothing."""

    def close(self) -> None:
        """Show nothing."""


class PlainLines:
    """A line when a step begins, one every few seconds within it, for logs and pipes."""

    def __init__(self, stream: TextIO, every: float = 5.0):
        self._stream, self._every = stream, every
        self._step, self._total, self._done = "", 0, 0
        self._began = self._last = time.monotonic()

    def start(self, step: str, total: int) -> None:
        """Write the step and how many items it has; nothing for more of the step in hand."""
        if step != self._step:
            self.say(f"{step}: {total}" if total > 1 else step)
        self._step, self._total, self._done = step, total, 0
        self._began = self._last = time.monotonic()

    def advance(self, item: str) -> None:
        """Write the item in hand and the time left, at most every few seconds."""
        self._done += 1
        now = time.monotonic()
        if now - self._last >= self._every and self._done < self._total:
            self._last = now
            left = (now - self._began) / self._done * (self._total - self._done)
            self.say(f"{self._step}: {self._done} of {self._total}, {item}, about {left:.0f} s left")

    def say(self, line: str) -> None:
        """Write one line."""
        print(printable(line), file=self._stream, flush=True)

    def close(self) -> None:
        """Nothing to put away."""


class Bar:
    """A progress bar on a terminal: the step, the section in hand, the time left."""

    def __init__(self, stream: TextIO):
        from rich.console import Console
        from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn, TimeRemainingColumn

        self._console = Console(file=stream)
        self._bar = Progress(
            TextColumn("{task.description:<22}"),
            BarColumn(bar_width=30),
            MofNCompleteColumn(),
            TextColumn("{task.fields[item]:<24}"),
            TimeRemainingColumn(),
            console=self._console,
            transient=True,
        )
        self._task = None
        self._bar.start()

    def start(self, step: str, total: int) -> None:
        """Show a fresh bar for the step."""
        if self._task is not None:
            self._bar.remove_task(self._task)
        self._task = self._bar.add_task(step, total=total, item="")

    def advance(self, item: str) -> None:
        """Move the bar on."""
        self._bar.update(self._task, advance=1, item=item)

    def say(self, line: str) -> None:
        """Write a line above the bar."""
        self._console.print(printable(line), markup=False, highlight=False, soft_wrap=True)

    def close(self) -> None:
        """Take the bar away."""
        self._bar.stop()


def progress_on(stream: TextIO = sys.stderr) -> Progress:
    """Return a bar when the stream is a terminal, plain lines when it is not."""
    return Bar(stream) if stream.isatty() else PlainLines(stream)
