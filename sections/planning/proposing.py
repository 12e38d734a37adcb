"""A plan without a build: seams found, sections carved bare, what came out measured, all written down and shown."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import numpy as np

from sections.body import load_body, seams_near_ends
from sections.checks.finding import FINDINGS_SCHEMA, Finding, Measure, Report
from sections.donor.keep_outs import keep_outs
from sections.export.digest import parameters_digest
from sections.export.read_once import PLAN_NAME
from sections.export.stage import scratch_beside, staged
from sections.numbers.mesh import Mesh
from sections.plan.model import NOTED, Plan, plan_to_json
from sections.plan.seen_places import with_seen_places
from sections.planning.make_plan import Planned
from sections.planning.replanning import plan_with_seams, too_large
from sections.planning.seam_search import FoundSeams
from sections.planning.search_step import measure_lines
from sections.processes.pool import Pool
from sections.results.scratch import Scratch
from sections.seaming.following_seams import FileAt, Moved, seam_place
from sections.seaming.naming import seam_lines
from sections.seaming.seam_lines import SeamLine
from sections.settings import Settings
from sections.solids.distance import MeshDistance

SEAMS_NAME = "seams.toml"


def propose(
    settings: Settings, folder: Path, target: Path, pool: Pool, moved: Callable[[], list[Moved]] = list
) -> Report:
    """Find seams, carve what they part, and write them, the plan and pictures into `target`; return what was measured.

    folder : where the parameter file lies. moved : asked for the file with each dimension changed, once seams were
    found: they are written so that they go with those. Raises BadInput, BuildFailed, OutputRefused.
    """
    with scratch_beside(target, pool.store) as scratch, staged(target, "plan") as partial:
        pool.progress.start("reading the body", 1)
        body = load_body(settings, folder, pool.store)
        for note in (*body.notes, *seams_near_ends(settings, body.skin.bounds)):
            pool.progress.say(note)
        # Read before anything is searched, so that a mistake in them is reported soon.
        settings = with_seen_places(settings, folder, MeshDistance(body.skin, body.doubt))
        kept_off = keep_outs(settings, folder)
        found, planned, gaps = plan_with_seams(settings, body, kept_off, scratch, pool)
        for note in planned.notes:
            pool.progress.say(note)
        lines = _lines(planned, found.settings.seams.angle, scratch, pool)
        volumes = [planned.blanks[section.id].load_wall(scratch).volume_mm3 for section in planned.plan.sections]
        findings, measures = _measured(settings, found, planned.plan, lines, np.array(volumes))
        report = Report(
            FINDINGS_SCHEMA, settings.name, parameters_digest(settings, folder),
            (*findings, *gaps.findings), (*measures, *gaps.measures),
        )  # fmt: skip
        now = FileAt(settings, body.skin.bounds)
        (partial / SEAMS_NAME).write_text(_proposal_text(now, found, moved), "utf-8")
        (partial / PLAN_NAME).write_text(plan_to_json(planned.plan), "utf-8")
        _pictures(planned, scratch, partial, pool)
    return report


def _proposal_text(now: FileAt, found: FoundSeams, moved: Callable[[], list[Moved]]) -> str:
    """Return the seams as a parameter file's own table, to be pasted or extended."""
    seams, given = found.settings.seams.planes, len(now.settings.seams.planes)
    with_each = moved() if len(seams) > given else []
    lines = seam_lines(seams, lambda seam, digits: seam_place(seam, now, with_each, digits))
    head = f"# Seams of {now.settings.name}: {given} given, {len(seams) - given} found."
    if any('at = "' in line for line in lines):
        head += "\n# They go with the dimensions. Plan again where sections come out too large for the bed."
    for before, after in zip(now.settings.openings, found.settings.openings, strict=True):
        # Left out, all seams that meet a panel cut it: none of those found is to.
        if after.panel and after.panel.seams != before.panel.seams:
            head += f"\n# With these seams, opening {after.id} has panel.seams = {json.dumps(after.panel.seams)}"
    # Families were laid out among the planes.
    even = "even = []\n" if now.settings.seams.even else ""
    rows = "".join(f"    {line}\n" for line in lines)
    return f'{head}\n[seams]\nmode = "given"\n{even}planes = [\n{rows}]\n'


def _lines(planned: Planned, angle: float, scratch: Scratch, pool: Pool) -> list[SeamLine]:
    """Return the lines of all sections along all their seams."""
    planes = {seam.id: seam.plane for seam in planned.plan.seams}
    tasks, names = [], []
    for section in planned.plan.sections:
        bounds = {seam: planes[seam] for seam, _ in section.seams}
        tasks.append((scratch.folder, planned.blanks[section.id], bounds, angle))
        names.append(section.id)
    return [line for lines in pool.map("measuring seams", measure_lines, tasks, names) for line in lines]


def _measured(
    settings: Settings, found: FoundSeams, plan: Plan, lines: list[SeamLine], volumes: np.ndarray
) -> tuple[list[Finding], list[Measure]]:
    """Return what is wrong with a plan, and what it came to. volumes : mm3, of the sections' walls."""
    worst = min(lines, key=lambda line: line.least, default=None)
    measures = [
        Measure("sections", "all", len(plan.sections), ""),
        Measure("sections-even-grid", "all", found.grid, ""),
        Measure("sections-least-by-volume", "all", found.least, ""),
        Measure("assembly-steps", "all", len(plan.assembly), ""),
        Measure("plastic-largest-to-mean", "all", float(volumes.max() / volumes.mean()), ""),
        Measure("seam-length", "all", sum(line.length for line in lines) / 2000, "m"),
        Measure("seam-length-shallow", "all", sum(line.shallow for line in lines) / 2000, "m"),
    ]
    if worst is not None:
        measures.append(Measure("seam-angle-least", worst.seam, worst.least, "deg"))
    return [*_too_large(settings, plan), *_without_room(plan), *_shallow(settings, lines)], measures


def _too_large(settings: Settings, plan: Plan):
    for section, axis, room in too_large(settings, plan):
        text = f"too long along bed {'xyz'[axis]} in every pose tried"
        yield Finding("off-bed", "fault", section.id, section.size[axis], room, "mm", None, text)


def _without_room(plan: Plan):
    for short in plan.shortages:
        if short.kind in NOTED:
            code = {"joint": "unjoined", "bonded": "bonded"}[short.kind]
            yield Finding(code, "note", short.where, None, None, "", short.at, short.reason)
        else:
            yield Finding(f"no-{short.kind}", "fault", short.where, None, None, "", short.at, short.reason)


def _shallow(settings: Settings, lines: list[SeamLine]):
    """Tell, once a seam, where it is less steep than asked."""
    worst: dict[str, SeamLine] = {}
    for line in lines:
        if line.shallow and (line.seam not in worst or line.least < worst[line.seam].least):
            worst[line.seam] = line
    for line in worst.values():
        text = "the seam meets the skin at a shallow angle here"
        yield Finding("seam-shallow", "note", line.seam, line.least, settings.seams.angle, "deg", line.at, text)


def _pictures(planned: Planned, scratch: Scratch, root: Path, pool: Pool) -> None:
    """Show the body in its sections' colours: from the front right, above, the side, ahead and behind."""
    from sections.pictures.seams import make_seam_pictures

    pool.rest(wait=False)
    pool.progress.start("rendering pictures", 1)
    walls: dict[str, Mesh] = {s.id: planned.blanks[s.id].load_wall(scratch) for s in planned.plan.sections}
    make_seam_pictures(walls, root)
