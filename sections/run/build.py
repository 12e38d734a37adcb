"""The main job: parameters in, an output folder of sections, hardware and reports out."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from functools import partial
from pathlib import Path

from sections import __version__
from sections.body import Body, load_body, noting_files, seams_near_ends
from sections.building.section import Toolbox
from sections.building.tools import LoosePiece, boss_tools, joint_tools, made_loose_pieces
from sections.coupons.gauges import gauges
from sections.donor.keep_outs import keep_outs
from sections.donor.kept_off import KeptOff
from sections.errors import PARAMETERS, BadInput, Problem
from sections.export.digest import parameters_digest, read_digests, refuse_changed, source_digests
from sections.export.files import PRINT_FORMATS
from sections.export.manifest import (
    MANIFEST_NAME,
    MANIFEST_SCHEMA,
    Bought,
    Manifest,
    PartRecord,
    manifest_to_json,
    record_file,
)
from sections.export.read_once import PLAN_NAME, read_anew
from sections.export.stage import added, scratch_beside, staged
from sections.plan.model import Plan, plan_to_json
from sections.plan.seen_places import with_seen_places
from sections.planning.make_plan import Planned
from sections.planning.replanning import plan_build
from sections.processes.pool import Pool
from sections.products.exact_parts import ExactPart, write_exact
from sections.products.guides import GuideWork, guided_pairs, write_guides
from sections.products.jig import WrittenJig, write_jig
from sections.products.picturing import build_pictures
from sections.products.section_step import MadePart, build_section
from sections.products.steps import share_exact, with_steps, write_steps
from sections.results.scratch import Scratch
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
            whole = options.only is None
            if whole:
                guided_pairs(settings, planned.plan)
            jig = write_jig(settings, body, planned.plan, scratch, partial, pool) if whole else WrittenJig()
            parts = _sections(settings, planned, scratch, partial, pool)
            loose = made_loose_pieces((*planned.plan.joints, *jig.joints))
            parts += [*_hardware(settings, loose, partial, pool), *jig.pieces]
            parts += _gauges(settings, partial, pool) if whole else []
            if whole:
                records = {part.id: part for part in parts}
                parts += write_guides(GuideWork(settings, body, planned.plan, records, partial, scratch), pool)
            plan_text = plan_to_json(planned.plan).encode()
            (partial / PLAN_NAME).write_bytes(plan_text)
            pictures = build_pictures(planned.plan, parts, kept_off, partial, pool) if options.pictures else ()
            manifest = Manifest(
                MANIFEST_SCHEMA, "Body Sections", __version__, settings.name, digest,
                options.only, body.notes + planned.notes, tuple(parts),
                _bought(planned.plan, loose), pictures, jig=jig.files,
                plan=record_file("json", Path(PLAN_NAME), plan_text),
                settings=asked.model_dump(mode="json", exclude={"variants"}),
                sources=sources | read,
            )  # fmt: skip
            (partial / MANIFEST_NAME).write_text(manifest_to_json(manifest), "utf-8")
            lines = [] if before is None else _changes(before, manifest, options.target, partial, pool)
        for line in lines:
            pool.progress.say(line)
        if "step" in settings.output.formats:
            manifest = _add_steps(settings, Built(manifest, body), planned, scratch, options.target, pool)
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


def _add_steps(settings: Settings, built: Built, planned: Planned, scratch: Scratch, target: Path, pool: Pool):
    """Add the sections' STEP files to an output that has its print files already; return its new manifest."""
    pool.progress.say(f"{target}: print files are in place after {pool.seconds:.0f} s; STEP files follow")
    pool.rest()
    with added(target) as partial:
        (partial / "sections").mkdir()
        steps = write_steps(settings, built.body, planned, scratch, partial, pool)
        manifest = with_steps(built.manifest, steps, partial)
        (partial / MANIFEST_NAME).write_text(manifest_to_json(manifest), "utf-8")
    pool.progress.say(share_exact(manifest))
    return manifest


def _must_hold(plan: Plan, only: str | None) -> None:
    """Refuse a build that would make nothing."""
    if plan.sections:
        return
    if only is not None:
        limit = "the id of a section; plan.json of a whole build lists them"
        raise BadInput([Problem("(command line)", "--only", only, limit, "correct the id")])
    raise BadInput([Problem(PARAMETERS, "body", "", "a body that leaves a wall to print", "look at the openings")])


def _sections(settings: Settings, planned: Planned, scratch: Scratch, root: Path, pool: Pool) -> list[PartRecord]:
    """Build and write every section of the plan."""
    plan = planned.plan
    pool.progress.start("making tools", 1)
    scratch.put("plan", plan)
    scratch.put("tools", _tools(plan, scratch))
    ids = [section.id for section in plan.sections]
    # A section's STEP file is made afterwards.
    formats = [name for name in settings.output.formats if name in PRINT_FORMATS]
    tasks = [(scratch.folder, i, planned.blanks[i], root, formats, settings.material.name) for i in ids]
    made = pool.map("building sections", build_section, tasks, ids)
    return [_record(settings, plan, part, files) for part, files in made]


def _tools(plan: Plan, scratch: Scratch) -> Toolbox:
    """Return the triangulated tools of all joints and bosses of a plan."""
    joints: dict = {}
    for joint in {planned.joint for planned in plan.joints}:
        joints |= scratch.once("joint tools", joint, partial(joint_tools, (joint,)))
    bosses = {
        boss: scratch.once("boss tools", boss, partial(boss_tools, boss))
        for boss in {planned.boss for planned in plan.bosses}
    }
    return Toolbox(joints, {boss: made[0] for boss, made in bosses.items()}, {b: made[1] for b, made in bosses.items()})


def _record(settings: Settings, plan: Plan, part: MadePart, files) -> PartRecord:
    joints = tuple(joint.id for joint in plan.joints_of(part.id))
    return PartRecord(
        part.id, "section", 1, False, files, part.volume_mm3, part.volume_mm3 * settings.material.density / 1000,
        part.size, "", plan.neighbours(part.id), joints, growth=plan.section(part.id).growth,
        foot_height=part.foot_height, foot_g=part.foot_mm3 * settings.material.density / 1000,
    )  # fmt: skip


def _hardware(settings: Settings, loose: list[LoosePiece], root: Path, pool: Pool) -> list[PartRecord]:
    """Write the loose pieces: pins and keys, each kind once."""
    pool.progress.start("writing hardware", max(len(loose), 1))
    parts = []
    for one in loose:
        piece = one.piece
        part = ExactPart(piece.name, piece.kind, "hardware", piece.solid, len(one.frames), piece.bought)
        parts.append(write_exact(settings, part, root)[0])
    return parts


def _gauges(settings: Settings, root: Path, pool: Pool) -> list[PartRecord]:
    """Write the gauges for rebates and panel gaps."""
    made = []
    for gauge in gauges(settings):
        made.append(write_exact(settings, ExactPart(gauge.id, "gauge", "gauges", gauge.solid), root)[0])
        pool.progress.say(f"{gauge.id}: {gauge.use}")
    return made


def _bought(plan: Plan, loose: list[LoosePiece]) -> tuple[Bought, ...]:
    """Return the screws, nuts, washers, pins and inserts to buy."""
    items = Counter(item for planned in plan.joints if planned.joint.kind == "bolt" for item in planned.joint.bought())
    items += Counter({f"{one.piece.name} pin (ISO 2338)": len(one.frames) for one in loose if one.piece.bought})
    items += Counter(takes for planned in plan.bosses for takes in planned.boss.bought())
    return tuple(Bought(item, items[item]) for item in sorted(items))
