"""Test prints."""

from __future__ import annotations

from pathlib import Path

from sections.cautions import CAUTIONS
from sections.errors import BadInput
from sections.export.folder_lock import output_folder, working_in
from sections.processes.pool import Pool
from sections.run.reporting import report_findings
from sections.settings import Given, load_settings
from sections.settings.lines import located


def run_coupon(parameters: Path, out: Path, pool: Pool, *, given: Given, proof: bool) -> int:
    """Write the test prints into out/<name>-coupons, or the seam that proves their fits into out/<name>-proof; return
    how many findings there are."""
    settings = load_settings(parameters, given)
    from sections.run.coupons import make_coupons

    target = output_folder(out, f"{settings.name}-{'proof' if proof else 'coupons'}")
    with working_in(target, "coupon", pool.progress.say):
        try:
            report = make_coupons(settings, parameters.parent, target, pool, proof=proof)
        except BadInput as error:
            raise located(error, parameters) from None
        pool.progress.say(CAUTIONS[0])
        return report_findings(report, target, pool)
