"""What each command does, without a terminal: settings in, count of findings out."""

from __future__ import annotations

from pathlib import Path

from sections.run.build import BuildOptions, build
from sections.run.pool import Pool
from sections.settings import load_settings


def run_build(
    parameters: Path, out: Path, pool: Pool, *, only: str | None, pictures: bool, check: bool
) -> int:
    """Build into out/<name>, or out/<name>-<only>; return how many findings the checks made."""
    settings = load_settings(parameters)
    target = out / (settings.name if only is None else f"{settings.name}-{only}")
    manifest = build(settings, parameters.parent, BuildOptions(target, only, pictures), pool)
    made = [part for part in manifest.parts if part.kind == "section"]
    weight_kg = sum(part.mass_g for part in made) / 1000
    pool.progress.say(
        f"{target}: {len(made)} sections, {weight_kg:.1f} kg of {settings.material.name} if solid"
    )
    return 0
