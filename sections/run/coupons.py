"""The test prints: written, read back and measured."""

from __future__ import annotations

from pathlib import Path

from sections import __version__
from sections.checks.coupon import check_coupon
from sections.checks.finding import FINDINGS_SCHEMA, Report
from sections.coupons import coupons_from_settings
from sections.export.manifest import MANIFEST_NAME, MANIFEST_SCHEMA, Manifest, PartRecord, manifest_to_json
from sections.export.stage import recover, staged
from sections.features import joints_from_settings
from sections.run.digest import parameters_digest
from sections.run.exact_parts import ExactPart, write_exact
from sections.run.pool import Pool
from sections.run.reading import read_part
from sections.settings import Settings

_FOLDER = "coupons"


def make_coupons(settings: Settings, folder: Path, target: Path, pool: Pool) -> Report:
    """Write every test print and the loose pieces they take into `target`, and return what their measuring gave.

    folder : where the parameter file lies. Raises BuildFailed, OutputRefused.
    """
    for line in recover(target):
        pool.progress.say(line)
    coupons = coupons_from_settings(settings)
    findings, measures = [], []
    with staged(target) as root:
        pool.progress.start("writing test prints", len(coupons))
        records = []
        for coupon in coupons:
            record, pose = write_exact(settings, ExactPart(coupon.id, "coupon", _FOLDER, coupon.solid), root)
            found, read = check_coupon(coupon, pose.place(read_part(root, record)))
            findings += found
            measures += read
            records.append(record)
            pool.progress.advance(coupon.id)
            pool.progress.say(f"{coupon.id}: {coupon.use}")
        records += _loose(settings, root)
        digest = parameters_digest(settings, folder)
        manifest = Manifest(
            MANIFEST_SCHEMA, "Body Sections", __version__, f"{settings.name}-coupons", digest, None,
            tuple(coupon.use for coupon in coupons), tuple(records), (), (),
        )  # fmt: skip
        (root / MANIFEST_NAME).write_text(manifest_to_json(manifest), "utf-8")
    return Report(FINDINGS_SCHEMA, manifest.name, digest, tuple(findings), tuple(measures))


def _loose(settings: Settings, root: Path) -> list[PartRecord]:
    """Write one of each printed pin and key, to try in the holes."""
    pieces = {piece.name: piece for joint in joints_from_settings(settings) if (piece := joint.hardware()) is not None}
    return [
        write_exact(settings, ExactPart(piece.name, piece.kind, _FOLDER, piece.solid), root)[0]
        for piece in pieces.values()
        if not piece.bought
    ]
