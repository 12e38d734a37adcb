"""A parameter file as read: what all else is asked of."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from sections.export.folder_lock import output_folder
from sections.settings import Given, Settings, load_settings


@dataclass(frozen=True)
class Job:
    """A parameter file as read. settings : every key. parameters : the file. given : values that came with it,
    as a command line gives them."""

    settings: Settings
    parameters: Path
    given: Given = Given()

    @staticmethod
    def read(parameters: Path, given: Given) -> Job:
        """Return a parameter file as read and judged. Raises BadInput."""
        return Job(load_settings(parameters, given), parameters, given)

    @property
    def name(self) -> str:
        """The job's name, and its output folder's."""
        return self.settings.name

    @property
    def base(self) -> Path:
        """The folder that paths in the file start from."""
        return self.parameters.parent

    def folder(self, out: str | Path, only: str | None = None) -> Path:
        """Return its output folder in `out`. only : of a build of one section, its id."""
        return output_folder(Path(out), self.name if only is None else f"{self.name}-{only}")


def read(
    parameters: str | Path, *, name: str | None = None, allow_outside: bool = False, **dimensions: float | str
) -> Job:
    """Return a parameter file as read and judged. Raises BadInput.

    name : of the job, instead of the file's. dimensions : values of [dimensions] by name, each in its own unit.
    """
    return Job.read(
        Path(parameters), Given({one: str(value) for one, value in dimensions.items()}, name, allow_outside)
    )
