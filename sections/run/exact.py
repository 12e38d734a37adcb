"""The exact STEP files of the sections: made after the print files are in place."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path

from sections.body import Body
from sections.body.body import OpeningSolid
from sections.errors import BuildFailed
from sections.export.manifest import FileRecord, Manifest, PartRecord, record_file
from sections.plan.model import Plan
from sections.plan.seams import resolve_seams
from sections.processes.attempts import Attempt, Attempts
from sections.processes.pool import Pool
from sections.run.assembly import write_assembly_file
from sections.run.exact_work import ExactLimits, ExactOpening, build_exact, carve_exact_cell, cut_cells
from sections.run.pieces import depth_rule
from sections.run.planning import Planned, panel_seams
from sections.run.scratch import Scratch
from sections.run.work import write_inexact
from sections.settings import Settings
from sections.solids.exact_solid import ExactSolid, write_brep
from sections.solids.skin_samples import sample_skin

# How many times a section's limit the cutting of the whole body, and writing it, may take.
_WHOLE = 10
# Why a section is not exact that was not tried, or whose cell OCC did not cut.
_LEFT_OUT, _LOST = "asked for in step.tessellated", "the CAD kernel failed to cut its cell"
ASSEMBLY = "assembly.step"
_SECTIONS = Path("sections")


@dataclass(frozen=True)
class StepFile:
    """How one section's STEP file holds it: "exact", "tessellated" or "faceted", and why not exact."""

    kind: str
    why: str


def write_steps(settings: Settings, body: Body, planned: Planned, scratch: Scratch, root: Path, pool: Pool) -> dict:
    """Write the STEP file of every section of a plan, and of all together, to `root`; return a StepFile by section id.

    scratch : as the build left it, with blanks, plan and the built print solids. What cannot be exact is tessellated,
    or made of planar faces where step.faceted asks for them. Raises BuildFailed where something takes longer than
    step.limit seconds.
    """
    ids = [section.id for section in planned.plan.sections]
    facets = settings.mesh.deviation if settings.step.faceted else None
    limit = settings.step.limit
    with Attempts(pool.processes, pool.progress) as attempts:
        why = _make_exact(settings, body, planned, scratch, root, attempts)
        rest = [i for i in ids if why[i] is not None]
        tasks = [(scratch.folder, i, root / _SECTIONS, facets) for i in rest]
        _must(rest, attempts.attempt_all("writing the other STEP files", write_inexact, tasks, rest, _WHOLE * limit))
        task = (scratch.folder, settings.name, tuple(ids), root / ASSEMBLY)
        _must([ASSEMBLY], [_once(attempts, "writing the assembly", write_assembly_file, task, limit)])
    other = "tessellated" if facets is None else "faceted"
    return {i: StepFile("exact", "") if why[i] is None else StepFile(other, why[i]) for i in ids}


def _must(names: list[str], attempts: list[Attempt]) -> None:
    """Raise BuildFailed where a file that always can be written was not."""
    for name, attempt in zip(names, attempts, strict=True):
        if attempt.why is not None:
            raise BuildFailed(f"the STEP file of {name}: {attempt.why}")


def _make_exact(settings, body: Body, planned: Planned, scratch: Scratch, root: Path, attempts: Attempts) -> dict:
    """Return why each section is not exact, by id; None where it is, and its file written."""
    sections = planned.plan.sections
    if body.exact is None:
        return {section.id: "the body is a mesh" for section in sections}
    _put_exact_body(body, scratch)
    limit, mesh = settings.step.limit, settings.mesh
    limits = ExactLimits(mesh.deviation, settings.wall.thickness - settings.checks.wall)
    seams = resolve_seams(settings)
    task = (scratch.folder, seams, settings.body.symmetric, _panels(settings, body))
    cut = _once(attempts, "cutting the exact body", cut_cells, task, limit)
    if cut.why is not None:
        return {section.id: f"the body as a whole: {cut.why}" for section in sections}
    cells = _cells(settings, planned, scratch)
    left_out = {_cell_of(planned, i): _LEFT_OUT for i in settings.step.tessellated if i in planned.blanks}
    known = [cell for cell in cut.result if cell in cells and cell not in left_out]
    tasks = [(scratch.folder, cell, *cells[cell], limits) for cell in known]
    walls = attempts.attempt_all("carving exact walls", carve_exact_cell, tasks, known, limit)
    carved = {cell: attempt.why for cell, attempt in zip(known, walls, strict=True)} | left_out
    why = {section.id: carved.get(_cell_of(planned, section.id), _LOST) for section in sections}
    able = [section.id for section in sections if why[section.id] is None]
    # Those on the left are mirror images of their twins, so the twins come first.
    able.sort(key=lambda i: planned.blanks[i].mirrored)
    tasks = [(scratch.folder, i, planned.blanks[i], root / _SECTIONS, limits) for i in able]
    made = attempts.attempt_all("building exact sections", build_exact, tasks, able, limit)
    return why | {i: attempt.why for i, attempt in zip(able, made, strict=True)}


def _panels(settings: Settings, body: Body) -> list[tuple[str, tuple[str, ...] | None, list[str]]]:
    """Return (name, seams that cut it, names its openings are kept under) for every panel."""
    return [
        (name, cut_by, [f"panel-{one.id}" for one in body.openings if one.given == name])
        for name, cut_by in panel_seams(settings).items()
    ]


def _once(attempts: Attempts, step: str, function, task: tuple, limit: float) -> Attempt:
    """Return what became of the one task of a step that takes the whole body."""
    return attempts.attempt_all(step, function, [task], [step], _WHOLE * limit)[0]


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
    scratch.put("samples", sample_skin([solid.shape for solid in solids], list(body.exact.tessellations)))
    for opening in body.openings:
        edge = opening.edge
        forms = {"opening": opening.exact, "around": edge and edge.around.exact}
        forms["panel"] = opening.panel and opening.panel.exact
        forms["hole"] = edge and edge.hole and edge.hole.exact
        for form, solid in forms.items():
            if solid is not None:
                write_brep(solid, scratch.folder / f"{form}-{opening.id}.brep")
    scratch.put("exact-openings", [_listed(opening) for opening in body.openings])


def _listed(opening: OpeningSolid) -> ExactOpening:
    edge = opening.edge
    bounds = (opening.mesh if edge is None else edge.around.mesh).bounds
    depth, floor = (None, None) if edge is None else (edge.depth, edge.floor)
    return ExactOpening(opening.id, bounds, opening.exact is not None, depth, floor)


def with_steps(manifest: Manifest, steps: dict, root: Path) -> Manifest:
    """Return the manifest with the sections' STEP files, which lie below `root`, taken in."""
    parts = tuple(_with_step(part, steps.get(part.id), root) for part in manifest.parts)
    return replace(manifest, parts=parts, assembly=_record(root, Path(ASSEMBLY)))


def _with_step(part: PartRecord, step: StepFile | None, root: Path) -> PartRecord:
    if step is None:
        return part
    record = _record(root, _SECTIONS / f"{part.id}.step")
    return replace(part, files=(*part.files, record), step=step.kind, step_why=step.why)


def _record(root: Path, path: Path) -> FileRecord:
    return record_file("step", path, (root / path).read_bytes())


def share_exact(manifest: Manifest) -> str:
    """Return a line that says how many sections' STEP files are exact."""
    kinds = [part.step for part in manifest.parts if part.kind == "section"]
    return f"STEP: {kinds.count('exact')} of {len(kinds)} sections exact (why not the others: manifest.json)"
