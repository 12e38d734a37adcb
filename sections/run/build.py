"""The main job: parameters in, an output folder of sections, hardware and reports out."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path

from sections import __version__
from sections.body import Body, load_body, noting_files, seams_near_ends
from sections.donor.keep_outs import keep_outs
from sections.donor.kept_off import KeptOff
from sections.errors import PARAMETERS, BadInput, Problem
from sections.export.digest import parameters_digest, read_digests, refuse_changed, source_digests
from sections.export.manifest import MANIFEST_NAME, MANIFEST_SCHEMA, Manifest, manifest_to_json, record_file
from sections.export.read_once import PLAN_NAME, read_anew
from sections.export.stage import added, scratch_beside, staged
from sections.measuring.reading import read_part
from sections.plan.model import Plan, plan_to_json
from sections.plan.seen_places import with_seen_places
from sections.planning.replanning import plan_build
from sections.processes.pool import Pool
from sections.products.product import Drawing, Making
from sections.products.table import (
    draw_products,
    make_products,
    makes_later,
    papers_made,
    parts_made,
    refuse_products,
)
from sections.run.changes import built_before, changed_lines, differing
from sections.run.comparing import surface_off_if_read
from sections.settings import Settings
from sections.solids.distance import MeshDistance


@dataclass(frozen=True)
class BuildOptions:
    """What one build is asked for. target : the output folder. only : one section's id. pictures : render them."""

    target: Path
    only: str | None = None
    pictures: bool = False


@dataclass(frozen=True)
class Built:
    """What a build wrote, and the body it read."""

    manifest: Manifest
    body: Body


def build(settings: Settings, folder: Path, options: BuildOptions, pool: Pool) -> Built:
    """Build everything into options.target; the old output stays until the new is whole.

    folder : where the parameter file lies. Raises BadInput, BuildFailed, OutputRefused.
    """
    whole = options.only is None
    with scratch_beside(options.target, pool.store) as scratch:
        with staged(options.target, "build") as partial:
            step = ("sections.solids.write_step",) if "step" in settings.output.formats else ()
            pool.warm(("sections.products.section_step", "trimesh", *step))
            pool.progress.start("reading the body", 1)
            digest, sources = parameters_digest(settings, folder), source_digests(settings, folder)
            asked, before = settings, built_before(options.target)
            body, settings, kept_off, read = _read(asked, folder, pool)
            refuse_changed(digest, asked, folder)
            settings, planned = plan_build(settings, body, kept_off, scratch, pool, options.only)
            _must_hold(planned.plan, options.only)
            refuse_products(settings, planned.plan, whole=whole)
            making = Making(settings, body, planned, scratch, partial)
            made = make_products(making, pool, whole=whole, later=False)
            plan_text = plan_to_json(planned.plan).encode()
            (partial / PLAN_NAME).write_bytes(plan_text)
            manifest = Manifest(
                MANIFEST_SCHEMA, "Body Sections", __version__, settings.name, digest,
                options.only, body.notes + planned.notes, parts_made(made),
                tuple(item for one in made.values() for item in one.bought), (),
                plan=record_file("json", Path(PLAN_NAME), plan_text),
                papers=papers_made(made),
                settings=asked.model_dump(mode="json", exclude={"variants"}),
                sources=sources | read,
            )  # fmt: skip
            if options.pictures:
                manifest = replace(manifest, pictures=_pictures(planned.plan, manifest, kept_off, partial, pool))
            (partial / MANIFEST_NAME).write_text(manifest_to_json(manifest), "utf-8")
            lines = [] if before is None else _changes(before, manifest, options.target, partial, pool)
        for line in lines:
            pool.progress.say(line)
        making = replace(making, made=made)
        manifest = _add_later(making, manifest, options.target, pool, whole=whole)
    return Built(manifest, body)


def _read(settings: Settings, folder: Path, pool: Pool) -> tuple[Body, Settings, tuple[KeptOff, ...], dict[str, str]]:
    """Return (the body; the settings with all places found on it; what sections keep off; SHA-256 of the files that
    scripts read, by path from `folder`): before anything is built, so that a mistake is reported soon."""
    with noting_files() as read:
        body = load_body(settings, folder, pool.store)
        for note in (*body.notes, *seams_near_ends(settings, body.skin.bounds)):
            pool.progress.say(note)
        settings = with_seen_places(settings, folder, MeshDistance(body.skin, body.doubt))
        kept_off = keep_outs(settings, folder)
    return body, settings, kept_off, read_digests(read, folder)


def _changes(before: Manifest, now: Manifest, old: Path, new: Path, pool: Pool) -> list[str]:
    """Return what changed since the last build, a line each. old, new : the output folders."""
    read_anew()
    names = differing(before, now)
    off = pool.map("comparing with the last build", surface_off_if_read, [(old, new, name) for name in names], names)
    return changed_lines(before, now, dict(zip(names, off, strict=True)))


def _add_later(making: Making, manifest: Manifest, target: Path, pool: Pool, *, whole: bool) -> Manifest:
    """Add what takes long to an output that has its print files already; return its new manifest."""
    if not makes_later(making.settings):
        return manifest
    pool.progress.say(f"{target}: print files are in place after {pool.seconds:.0f} s; STEP files follow")
    with added(target) as partial:
        made = make_products(replace(making, root=partial), pool, whole=whole, later=True)
        manifest = replace(manifest, parts=parts_made(made), papers=papers_made(made))
        (partial / MANIFEST_NAME).write_text(manifest_to_json(manifest), "utf-8")
    return manifest


def _pictures(plan: Plan, manifest: Manifest, kept_off: tuple[KeptOff, ...], root: Path, pool: Pool) -> tuple[str, ...]:
    """Draw what was just written, read back from its files; return the pictures' paths."""
    pool.progress.start("rendering pictures", 1)
    sections = [part for part in manifest.parts if part.kind == "section"]
    built = {part.id: plan.section(part.id).pose.place(read_part(root, part)) for part in sections}
    return draw_products(Drawing(plan, built, kept_off, root))


def _must_hold(plan: Plan, only: str | None) -> None:
    """Refuse a build that would make nothing."""
    if plan.sections:
        return
    if only is not None:
        limit = "the id of a section; plan.json of a whole build lists them"
        raise BadInput([Problem("(command line)", "--only", only, limit, "correct the id")])
    raise BadInput([Problem(PARAMETERS, "body", "", "a body that leaves a wall to print", "look at the openings")])
