"""What each command does, without a terminal: settings in, count of findings out."""

from __future__ import annotations

from pathlib import Path

from sections.checks.finding import Report, report_to_json
from sections.export.stage import recover, write_whole
from sections.run.build import BuildOptions, build
from sections.run.checking import FINDINGS_NAME, check_output
from sections.run.coupons import make_coupons
from sections.run.pool import Pool
from sections.run.starting import start
from sections.settings import load_settings


def run_build(parameters: Path, out: Path, pool: Pool, *, only: str | None, pictures: bool, check: bool) -> int:
    """Build into out/<name>, or out/<name>-<only>; return how many findings the checks made."""
    settings = load_settings(parameters)
    target = out / (settings.name if only is None else f"{settings.name}-{only}")
    built = build(settings, parameters.parent, BuildOptions(target, only, pictures), pool)
    made = [part for part in built.manifest.parts if part.kind == "section"]
    weight_kg = sum(part.mass_g for part in made) / 1000
    pool.progress.say(f"{target}: {len(made)} sections, {weight_kg:.1f} kg of {settings.material.name} if solid")
    if not check:
        return 0
    return _tell(check_output(settings, parameters.parent, target, pool, built.body), target, pool)


def run_check(parameters: Path, out: Path, pool: Pool) -> int:
    """Check out/<name>; return how many findings there are."""
    settings = load_settings(parameters)
    target = out / settings.name
    for line in recover(target):
        pool.progress.say(line)
    return _tell(check_output(settings, parameters.parent, target, pool), target, pool)


def run_coupon(parameters: Path, out: Path, pool: Pool) -> int:
    """Write the test prints into out/<name>-coupons; return how many findings there are."""
    settings = load_settings(parameters)
    target = out / f"{settings.name}-coupons"
    return _tell(make_coupons(settings, parameters.parent, target, pool), target, pool)


def run_new(parameters: Path, body: Path, units: str | None, scale: float, pool: Pool) -> int:
    """Write a starter parameter file for a body."""
    for line in start(parameters, body, units, scale):
        pool.progress.say(line)
    return 0


def _tell(report: Report, target: Path, pool: Pool) -> int:
    """Write findings.json into an output folder, say every finding, and return how many there are."""
    write_whole(target / FINDINGS_NAME, report_to_json(report))
    for finding in report.findings:
        pool.progress.say(str(finding))
    count = len(report.findings)
    pool.progress.say(f"{target}: {count or 'no'} finding{'' if count == 1 else 's'}, {len(report.measures)} measures")
    return count
