"""The exact STEP files of the sections: made after the print files are in place."""

from __future__ import annotations

import shutil
from dataclasses import dataclass, replace
from pathlib import Path

from sections.body import Body
from sections.body.body import OpeningSolid
from sections.checks.finding import Found
from sections.errors import BuildFailed
from sections.export.manifest import FileRecord, PartRecord, record_file
from sections.measuring.reading import plan_of
from sections.measuring.step_file_step import check_step_file
from sections.plan.model import Plan
from sections.plan.seams import resolve_seams
from sections.planning.make_plan import Planned, panel_seams
from sections.planning.pieces import depth_rule
from sections.processes.attempts import Attempt, Attempts
from sections.processes.kept_attempts import KeptTask, attempt_kept
from sections.processes.pool import Pool
from sections.products.assembly import ASSEMBLY, write_assembly_file
from sections.products.exact_step import (
    CutTask,
    ExactLimits,
    ExactOpening,
    build_exact,
    carve_exact_cell,
    cut_cells,
    is_its_twins_image,
)
from sections.products.product import MadeProduct, Making, Measuring, Product
from sections.products.section_step import write_inexact
from sections.results import digest_of, sha256_of
from sections.results.scratch import Scratch
from sections.settings import Settings
from sections.solids.exact_solid import ExactSolid, write_brep
from sections.solids.skin_samples import sample_skin
from sections.wall.depth import DepthRule
from sections.wall.kept_body import skin_content

# How many times a section's limit the cutting of the whole body, and writing it, may take.
_WHOLE = 10
# Why a section is not exact that was not tried, or whose cell OCC did not cut.
_LEFT_OUT, _LOST = "asked for in step.tessellated", "the CAD kernel failed to cut its cell"
_EXACT_CONTENT = "exact-content"
_SECTIONS = Path("sections")


@dataclass(frozen=True)
class StepFile:
    """How one section's STEP file holds it: "exact", "tessellated" or "faceted", and why not exact."""

    kind: str
    why: str


def write_steps(making: Making, pool: Pool) -> dict[str, StepFile]:
    """Write the STEP file of every section of a plan, and of all together; return how each holds its section, by id.

    The scratch folder is as the build left it, with blanks, plan and the built print solids. What cannot be exact is
    tessellated, or made of planar faces where step.faceted asks for them. Raises BuildFailed where something takes
    longer than step.limit seconds.
    """
    settings, planned, scratch, root = making.settings, making.planned, making.scratch, making.root
    plan, folder = planned.plan, scratch.folder
    ids = [section.id for section in plan.sections]
    facets = settings.mesh.deviation if settings.step.faceted else None
    limit = settings.step.limit
    with pool.attempts() as attempts:
        why = _make_exact(settings, making.body, planned, scratch, attempts)
        rest = [i for i in ids if why[i] is not None]
        rest = [KeptTask(i, (folder, i, facets), (i, scratch.content(f"built-{i}"), facets)) for i in rest]
        _must(rest, attempt_kept(attempts, "writing the other STEP files", write_inexact, rest, _WHOLE * limit))
        shapes = [(sha256_of(folder / f"exact-{i}.brep"), scratch.content(f"built-{i}")) for i in ids]
        given = (settings.name, ids, shapes, plan.joints, plan.bosses)
        whole = [KeptTask(ASSEMBLY, (folder, settings.name, tuple(ids)), given)]
        _must(whole, attempt_kept(attempts, "writing the assembly", write_assembly_file, whole, _WHOLE * limit))
    for name in ids:
        shutil.copyfile(folder / f"{name}.step", root / _SECTIONS / f"{name}.step")
    shutil.copyfile(folder / ASSEMBLY, root / ASSEMBLY)
    other = "tessellated" if facets is None else "faceted"
    return {i: StepFile("exact", "") if why[i] is None else StepFile(other, why[i]) for i in ids}


def _must(tasks: list[KeptTask], attempts: list[Attempt]) -> None:
    """Raise BuildFailed where a file that always can be written was not."""
    for task, attempt in zip(tasks, attempts, strict=True):
        if attempt.why is not None:
            raise BuildFailed(f"the STEP file of {task.name}: {attempt.why}")


def _make_exact(settings: Settings, body: Body, planned: Planned, scratch: Scratch, attempts: Attempts) -> dict:
    """Return why each section is not exact, by id; None where it is, and its STEP file kept in the scratch folder."""
    sections = planned.plan.sections
    if body.exact is None:
        return {section.id: "the body is a mesh" for section in sections}
    _put_exact_body(body, scratch)
    limit = settings.step.limit
    (cut,) = attempt_kept(
        attempts, "cutting the exact body", cut_cells, [_cutting(settings, body, scratch)], _WHOLE * limit
    )
    if cut.why is not None:
        return {section.id: f"the body as a whole: {cut.why}" for section in sections}
    cells = _cells(settings, planned, scratch)
    left_out = {_cell_of(planned, i): _LEFT_OUT for i in settings.step.tessellated if i in planned.blanks}
    known = [cell for cell in cut.result if cell in cells and cell not in left_out]
    limits = ExactLimits(settings.mesh.deviation, settings.wall.thickness - settings.checks.wall)
    tasks = [_carving(cell, *cells[cell], limits, scratch) for cell in known]
    walls = attempt_kept(attempts, "carving exact walls", carve_exact_cell, tasks, limit)
    carved = {cell: attempt.why for cell, attempt in zip(known, walls, strict=True)} | left_out
    why = {section.id: carved.get(_cell_of(planned, section.id), _LOST) for section in sections}
    # Some on the left are mirror images of their twins, which come first.
    images = {i for i in why if planned.blanks[i].mirrored and is_its_twins_image(planned.plan, i)}
    for later in (False, True):
        able = [i for i in why if why[i] is None and (i in images) is later]
        tasks = [_building(planned, i, limits, scratch) for i in able]
        made = attempt_kept(attempts, "building exact sections", build_exact, tasks, limit) if able else []
        why |= {i: attempt.why for i, attempt in zip(able, made, strict=True)}
    return why


def _cutting(settings: Settings, body: Body, scratch: Scratch) -> KeptTask:
    """Return the task of cutting the exact body into its cells."""
    folder, task = scratch.folder, CutTask(resolve_seams(settings), settings.body.symmetric, _panels(settings, body))
    contents = [sha256_of(folder / f"{name}.brep") for _, _, kept in task.panels for name in kept]
    return KeptTask("cutting the exact body", (folder, task), (sha256_of(folder / "body.brep"), task, contents))


def _carving(cell: str, rule: DepthRule, walls: tuple[str, ...], limits: ExactLimits, scratch: Scratch) -> KeptTask:
    """Return the task of carving one exact cell."""
    folder = scratch.folder
    given = (
        sha256_of(folder / f"block-{cell}.brep"), rule, [(wall, scratch.content(wall)) for wall in walls], limits,
        scratch.get(_EXACT_CONTENT), skin_content(folder), scratch.get("cutter-contents"),
    )  # fmt: skip
    return KeptTask(cell, (folder, cell, rule, walls, limits), given)


def _building(planned: Planned, name: str, limits: ExactLimits, scratch: Scratch) -> KeptTask:
    """Return the task of building one exact section."""
    folder, plan, blank = scratch.folder, planned.plan, planned.blanks[name]
    section, bosses = plan.section(name), plan.bosses_of(name)
    shapes = [f"{blank.wall}.brep", f"{blank.block}.brep"]
    if blank.mirrored and is_its_twins_image(plan, name):
        shapes.append(f"featured-{section.mirror_of}.brep")
    given = (
        section, plan.joints_of(name), bosses, [sha256_of(folder / one) for one in shapes], blank.mirrored,
        plan.seams_of(name), scratch.content(f"built-{name}"), limits,
    )  # fmt: skip
    return KeptTask(name, (folder, name, blank, limits), given)


def _panels(settings: Settings, body: Body) -> list[tuple[str, tuple[str, ...] | None, list[str]]]:
    """Return (name, seams that cut it, names its openings are kept under) for every panel."""
    return [
        (name, cut_by, [f"panel-{one.id}" for one in body.openings if one.given == name])
        for name, cut_by in panel_seams(settings).items()
    ]


def _cell_of(planned: Planned, section_id: str) -> str:
    return planned.blanks[section_id].block.removeprefix("block-")


def _cells(settings: Settings, planned: Planned, scratch: Scratch) -> dict:
    """Return (depth rule, names of all its carved pieces) for every cell that was carved and not mirrored."""
    plan: Plan = planned.plan
    planes = {seam.id: seam.plane for seam in plan.seams}
    cells: dict[str, tuple] = {}
    walls: dict[str, list[str]] = {}
    for section in plan.sections:
        blank = planned.blanks[section.id]
        cell = _cell_of(planned, section.id)
        if blank.wall not in walls.setdefault(cell, []):
            walls[cell].append(blank.wall)
        own = tuple(planes[name].toward(sign) for name, sign in section.seams)
        if blank.mirrored:
            own = tuple(plane.mirrored_y() for plane in own)
        cells[cell] = depth_rule(settings, own)
    return {cell: (rule, (*walls[cell], *scratch.meshes(f"left-{cell}-"))) for cell, rule in cells.items()}


def _put_exact_body(body: Body, scratch: Scratch) -> None:
    """Keep the exact body, samples of its skin and the exact openings in the scratch folder."""
    solids = body.exact.solids
    write_brep(ExactSolid.of([solid.shape for solid in solids]), scratch.folder / "body.brep")
    samples, kept = sample_skin([solid.shape for solid in solids], list(body.exact.tessellations)), []
    scratch.put("samples", samples)
    for opening in body.openings:
        edge = opening.edge
        forms = {"opening": opening.exact, "around": edge and edge.around.exact}
        forms["panel"] = opening.panel and opening.panel.exact
        forms["hole"] = edge and edge.hole and edge.hole.exact
        for form, solid in forms.items():
            if solid is not None:
                kept.append(scratch.folder / f"{form}-{opening.id}.brep")
                write_brep(solid, kept[-1])
    listed = [_listed(opening) for opening in body.openings]
    scratch.put("exact-openings", listed)
    scratch.put(_EXACT_CONTENT, digest_of(samples, listed, [(path.name, sha256_of(path)) for path in kept]))


def _listed(opening: OpeningSolid) -> ExactOpening:
    edge = opening.edge
    bounds = (opening.mesh if edge is None else edge.around.mesh).bounds
    depth, floor = (None, None) if edge is None else (edge.depth, edge.floor)
    return ExactOpening(opening.id, bounds, opening.exact is not None, depth, floor)


def _asked(settings: Settings) -> bool:
    return "step" in settings.output.formats


def _make(making: Making, pool: Pool) -> MadeProduct:
    """Write the sections' STEP files and the assembly; the print files are in place."""
    pool.rest()
    root = making.root
    (root / _SECTIONS).mkdir()
    steps = write_steps(making, pool)
    parts = [_with_step(making.parts[name], step, root) for name, step in steps.items()]
    kinds = [part.step for part in parts]
    said = f"STEP: {kinds.count('exact')} of {len(kinds)} sections exact (why not the others: manifest.json)"
    pool.progress.say(said)
    return MadeProduct(tuple(parts), (_record(root, Path(ASSEMBLY)),))


def _with_step(part: PartRecord, step: StepFile, root: Path) -> PartRecord:
    record = _record(root, _SECTIONS / f"{part.id}.step")
    return replace(part, files=(*part.files, record), step=step.kind, step_why=step.why)


def _record(root: Path, path: Path) -> FileRecord:
    return record_file("step", path, (root / path).read_bytes())


def _check(measuring: Measuring, pool: Pool) -> Found:
    """Return what the sections' STEP files give, read back."""
    if not _asked(measuring.rules.settings):
        return [], []
    ids = [section.id for section in plan_of(measuring.out).sections]
    tasks = [(measuring.folder, measuring.out, name) for name in ids]
    results = pool.map("checking STEP files", check_step_file, tasks, ids)
    return [one for result in results for one in result.findings], [m for result in results for m in result.measures]


STEPS = Product("steps", _make, check=_check, whole=False, later=_asked)
