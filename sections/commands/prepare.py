"""The skin of a scan."""

from __future__ import annotations

from pathlib import Path

from sections.errors import BadInput
from sections.export.folder_lock import output_folder, working_in
from sections.processes.context import read_ahead
from sections.processes.pool import Pool
from sections.run.ahead import FOREIGN
from sections.settings import Given, load_settings
from sections.settings.lines import located


def run_prepare(parameters: Path, out: Path, pool: Pool, *, given: Given) -> int:
    """Make the skin of a scan and write it into out/<name>-skin."""
    settings = load_settings(parameters, given)
    read_ahead((FOREIGN,))
    from sections.run.preparing import REPORT_NAME, SKIN_NAME, prepare_skin

    target = output_folder(out, f"{settings.name}-skin")
    with working_in(target, "prepare", pool.progress.say):
        try:
            prepare_skin(settings, parameters.parent, target, pool)
        except BadInput as error:
            raise located(error, parameters) from None
        pool.progress.say(f"{target}: {SKIN_NAME}, {REPORT_NAME} and pictures")
        return 0
