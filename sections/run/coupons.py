"""The test prints: written, read back and measured, with a page that says what to do and a form to fill in."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from sections import __version__
from sections.calibration.form import FORM_NAME, form_text
from sections.checks.coupon import check_coupon
from sections.checks.finding import FINDINGS_SCHEMA, Finding, Measure, Report
from sections.coupons import Coupon, coupons_from_settings, proof_from_settings
from sections.coupons.estimate import PrintEstimate, estimate_of
from sections.errors import OutputRefused
from sections.export.digest import parameters_digest
from sections.export.manifest import MANIFEST_NAME, MANIFEST_SCHEMA, Manifest, PartRecord, manifest_to_json
from sections.export.page import Page
from sections.export.stage import staged
from sections.features import JointSet
from sections.features.key import Key
from sections.measuring.reading import read_part
from sections.pictures.album import make_coupon_picture
from sections.processes.pool import Pool
from sections.products.exact_parts import ExactPart, write_exact
from sections.settings import Settings
from sections.settings.narrow import narrowed

PAGE_NAME = "coupons.html"
_FOLDER = "coupons"
# The tables that test prints are made from.
_TABLES = (
    "wall", "flange", "bolts", "dowels", "keys", "fits", "bosses", "hardpoints", "label", "printer", "printers",
    "material",
)  # fmt: skip
# What a set should not take more of: minutes, grams.
_MINUTES, _GRAMS = 90.0, 120.0


def make_coupons(settings: Settings, folder: Path, target: Path, pool: Pool, *, proof: bool = False) -> Report:
    """Write every test print and the loose pieces they take into `target`, and return what their measuring gave.

    folder : where the parameter file lies. proof : the seam in small instead. Raises BuildFailed, OutputRefused.
    """
    coupons = kept_coupons(settings, pool, proof=proof)
    form = None if proof else form_text(settings, coupons)
    _keep_readings(target, form)
    findings, measures = [], []
    with staged(target, "coupon") as root:
        pool.progress.start("writing test prints", len(coupons))
        records, meshes = [], {}
        for coupon in coupons:
            record, pose = write_exact(settings, ExactPart(coupon.id, "coupon", _FOLDER, coupon.solid), root)
            meshes[coupon.id] = read_part(root, record)
            found, read = check_coupon(coupon, pose.place(meshes[coupon.id]))
            findings += found
            measures += read
            records.append(record)
            pool.progress.advance(coupon.id)
            pool.progress.say(f"{coupon.id}: {coupon.use}")
        records += _loose(settings, root)
        takes = estimate_of(settings, coupons)
        found, read = _takes(settings, takes)
        picture = make_coupon_picture(meshes, root)
        (root / PAGE_NAME).write_text(_page(settings, coupons, takes, picture, proof=proof).html(), "utf-8")
        if form is not None:
            (root / FORM_NAME).write_text(form, "utf-8")
        digest = parameters_digest(settings, folder)
        manifest = Manifest(
            MANIFEST_SCHEMA, "Body Sections", __version__, f"{settings.name}-coupons", digest, None,
            tuple(coupon.use for coupon in coupons), tuple(records), (), (picture,),
        )  # fmt: skip
        (root / MANIFEST_NAME).write_text(manifest_to_json(manifest), "utf-8")
    pool.progress.say(f"{target}: {PAGE_NAME}; some {takes.minutes:.0f} min and {takes.grams:.0f} g in one go")
    return Report(FINDINGS_SCHEMA, manifest.name, digest, tuple(findings + found), tuple(measures + read))


def kept_coupons(settings: Settings, pool: Pool, *, proof: bool = False) -> tuple[Coupon, ...]:
    """Return the test prints of settings, or the seam in small, as they were made before where that is kept."""
    given = narrowed(settings, _TABLES)

    def made() -> tuple[Coupon, ...]:
        return proof_from_settings(given) if proof else coupons_from_settings(given)

    return made() if pool.store is None else pool.store.once("test prints", (given, proof), made)


def _keep_readings(target: Path, form: str | None) -> None:
    """Refuse to write over a form that was filled in. Raises OutputRefused."""
    old = target / FORM_NAME
    if form is None or not old.exists():
        return
    rows = [line.strip() for line in old.read_text("utf-8", errors="replace").splitlines()]
    if any(row.startswith("{") and "read = []" not in row and "said = []" not in row for row in rows):
        raise OutputRefused(f"{old} has readings in it; move it to a place of its own, then run this again")


def _takes(settings: Settings, takes: PrintEstimate) -> tuple[list[Finding], list[Measure]]:
    """Return whether a set takes more time or plastic than it should."""
    measures = [Measure("coupon-time", "set", takes.minutes, "min"), Measure("coupon-mass", "set", takes.grams, "g")]
    findings = []
    for name, value, limit, unit in (
        ("coupon-time", takes.minutes, _MINUTES, "min"), ("coupon-mass", takes.grams, _GRAMS, "g"),
    ):  # fmt: skip
        if value > limit:
            text = (
                "by our estimate, solid; keys, dowels, wall or inserts are large, or printer.volumetric_flow is small"
            )
            findings.append(Finding(name, "note", "set", value, limit, unit, None, text))
    return findings, measures


def _page(settings: Settings, coupons: tuple[Coupon, ...], takes: PrintEstimate, picture: str, *, proof: bool) -> Page:
    name = "a seam in small" if proof else "test prints"
    page = Page(f"{settings.name}: {name}")
    page.paragraph(
        f"Print in {settings.material.name} as the body will be printed: same nozzle, layers, speeds and temperatures, "
        f"solid, files as they are. All on one plate take some {takes.minutes:.0f} minutes and {takes.grams:.0f} g, by "
        f"an estimate: solid at {settings.printer.volumetric_flow:g} mm3/s, two seconds between layers of 0.2 mm. "
        "Let them cool to room temperature before measuring."
    )
    page.picture(picture, name)
    page.table(("print", "what to do"), [(coupon.id, coupon.use) for coupon in coupons])
    if not proof:
        page.paragraph(
            "Print the dowel and the key too; they come with the test prints. Have a bolt, and an insert a hole. "
            "Jams: does not go in by hand. Presses: goes in under the thumb's weight and stays. Slides: goes in and out"
            " between two fingers, all the way, without shaking. Loose: falls or shakes. Holes below 5 mm are read "
            "truer with drill shanks or gauge pins than with callipers; both ways across go into one list."
        )
        page.heading("Readings")
        page.paragraph(
            f"Copy {FORM_NAME} to a place of your own, fill it in, or have it asked for value by value. A second print "
            "narrows the intervals by a third to a half."
        )
        page.code(f"sections calibrate PARAMETERS.toml {FORM_NAME} --ask")
        rows = [
            (ladder.id, ladder.piece, " ".join(ladder.marks), " ".join(f"{fit:g}" for fit in ladder.fits))
            for coupon in coupons
            for ladder in coupon.ladders
        ]
        page.table(("ladder", "tried with", "marks: 1/100 mm per side", "mm per side"), rows)
    return page


def _loose(settings: Settings, root: Path) -> list[PartRecord]:
    """Write one of each printed pin and key, to try in the holes; a loose key too where the body's are fixed."""
    joints = [
        replace(joint, loose=True) if isinstance(joint, Key) else joint for joint in JointSet.of(settings).one_of_each
    ]
    pieces = {piece.name: piece for joint in joints if (piece := joint.hardware()) is not None}
    return [
        write_exact(settings, ExactPart(piece.name, piece.kind, _FOLDER, piece.solid), root)[0]
        for piece in pieces.values()
        if not piece.bought
    ]
