"""A printer's profile from readings."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from sections.export.folder_lock import output_folder, working_in
from sections.processes.pool import Pool
from sections.run.reporting import report_findings
from sections.settings import Given, load_settings


def run_calibrate(
    parameters: Path, readings: Path, profile: Path | None, out: Path, pool: Pool, *,
    given: Given, ask: Callable[[str], str] | None, agrees: Callable[[str], bool],
) -> int:  # fmt: skip
    """Say what readings tell of the printer, into out/<name>-calibration, and offer to write its profile; return how
    many fits and readings there are to fix. ask : asks for readings that are not there yet, None: they stay so."""
    settings = load_settings(parameters, given)
    from sections.run.ask_readings import ask_readings
    from sections.run.calibrating import PAGE_NAME, CalibrationTask, calibrate_printer, offer_profile

    if ask is not None and ask_readings(readings, ask):
        pool.progress.say(f"{readings}: written")
    target = output_folder(out, f"{settings.name}-calibration")
    place = profile or parameters.parent / f"{settings.name}-printer.toml"
    asked = CalibrationTask(parameters, readings, place, target, agrees)
    with working_in(target, "calibrate", pool.progress.say):
        report, offer = calibrate_printer(settings, asked, pool)
        pool.progress.say(f"{target}: {PAGE_NAME} and charts")
        count = report_findings(report, target, pool)
        offer_profile(asked, offer, pool)
        return count
