"""What is still good of what was printed."""

from __future__ import annotations

from pathlib import Path

from sections.errors import BadInput, Problem
from sections.export.folder_lock import output_folder, working_in
from sections.export.stage import staged
from sections.processes.pool import Pool
from sections.run.ahead import read_ahead_for
from sections.run.reporting import report_findings
from sections.settings import Given, Settings, load_settings


def run_changed(parameters: Path, out: Path, pool: Pool, *, given: Given) -> int:
    """Say how what was printed stands to out/<name>, into out/<name>-changed; return how many findings there are."""
    settings = load_settings(parameters, given)
    from sections.export.read_once import read_anew
    from sections.run.printed import printed_folder
    from sections.run.printed_changes import printed_changes

    read_anew()
    target, built = output_folder(out, f"{settings.name}-changed"), output_folder(out, settings.name)
    kept = printed_folder(parameters)
    _must_be_current(settings, parameters, built, kept)
    read_ahead_for(settings)
    with working_in(target, "changed", pool.progress.say):
        with staged(target, "changed"):
            report = printed_changes(settings, parameters.parent, built, kept, pool)
        return report_findings(report, target, pool)


def _must_be_current(settings: Settings, parameters: Path, built: Path, kept: Path) -> None:
    """Refuse to compare with a build of other parameters, or where nothing was printed."""
    from sections.export.digest import changed_sources, parameters_digest
    from sections.measuring.reading import manifest_of

    if not any(kept.glob("*.json")):
        limit = "sections that were noted as printed: sections printed PARAMETERS ID ..."
        raise BadInput([Problem(str(kept), "(printed)", "none", limit, "note them as you print them")])
    manifest, folder = manifest_of(built), parameters.parent
    if parameters_digest(settings, folder) != manifest.parameters_sha256 or changed_sources(manifest.sources, folder):
        limit = f"parameters as {built} was built from; they changed since"
        raise BadInput([Problem(str(parameters), "(build)", "", limit, "sections build first")])
