"""Checking the sections of an output folder: each, those that meet, and all together."""

from __future__ import annotations

from pathlib import Path

from sections.checks.built_parts import CheckRules
from sections.checks.closure import check_closure, wall_points
from sections.checks.coverage import check_coverage
from sections.checks.finding import Found
from sections.checks.keep_out import check_bolts_keep_off
from sections.checks.skin import check_skin
from sections.measuring.hand_steps import check_reach
from sections.measuring.part_steps import (
    PartResult,
    check_pair,
    check_pane_goes_in,
    check_panel,
    check_panel_opens,
    check_part,
)
from sections.measuring.reading import manifest_of, plan_of, section_read, sections_near, truth_of
from sections.plan.model import Plan, PlannedSection
from sections.processes.pool import Begun, Pool
from sections.results.scratch import Scratch

# mm; sections this near a panel may be around it.
_BESIDE = 60.0


def begin_seams(folder: Path, out: Path, plan: Plan, pool: Pool) -> Begun:
    """Begin on the seams in the order of the sections, so that those a process has read are soon met again. They need
    no body. folder : scratch."""
    place = {section.id: number for number, section in enumerate(plan.sections)}
    pairs = [pair for pair in plan.pairs if {pair.minus, pair.plus} <= place.keys()]
    pairs.sort(key=lambda pair: sorted([place[pair.minus], place[pair.plus]]))
    return pool.begin(check_pair, [(folder, out, pair) for pair in pairs], [pair.id for pair in pairs])


def check_sections(folder: Path, out: Path, rules: CheckRules, seams: Begun, pool: Pool) -> Found:
    """Return what the sections give, each, those that meet, and all together where all are there.

    folder : scratch, with the body. seams : as begun.
    """
    mated = seams.results("checking seams")
    truth, plan = truth_of(folder), plan_of(out)
    wall = wall_points(truth, rules)
    Scratch(folder).put("wall", wall)
    ids = [section.id for section in plan.sections]
    parts = pool.map("checking sections", check_part, [(folder, out, i) for i in ids], ids)
    parts += _panels(rules, folder, out, pool) + _panes(rules, folder, out, pool)
    findings = [f for part in (*parts, *mated) for f in part.findings]
    measures = [m for part in (*parts, *mated) for m in part.measures]
    if manifest_of(out).only is None:
        skins = [part.skin for part in parts if part.skin is not None]
        covering = skins if truth.given is None else [part.given for part in parts if part.given is not None]
        for found, read in (
            check_reach(folder, out, plan, pool),
            check_bolts_keep_off(plan, truth.keep_outs, rules.settings),
            check_skin(skins, truth, rules),
            check_coverage(covering, truth, rules),
            check_closure([part.inside for part in parts if part.inside is not None], wall, plan),
        ):
            findings += found
            measures += read
    return findings, measures


def _panels(rules: CheckRules, folder: Path, out: Path, pool: Pool) -> list[PartResult]:
    """Check the gap around every section of a panel that opens, and that the panel comes out."""
    panels = [section for section in plan_of(out).sections if section.panel]
    if not panels or manifest_of(out).only is not None:
        return []
    beside = {panel.id: _beside(panel, folder, out) for panel in panels}
    tasks = [(folder, out, panel.id, panel.panel, beside[panel.id]) for panel in panels]
    results = pool.map("checking panels", check_panel, tasks, [panel.id for panel in panels])
    tasks = []
    for name in dict.fromkeys(panel.panel for panel in panels):
        own = tuple(panel.id for panel in panels if panel.panel == name)
        around = tuple(dict.fromkeys(one for panel in own for one in beside[panel]))
        tasks.append((folder, out, name, own, around))
    return results + pool.map("opening panels", check_panel_opens, tasks, [task[2] for task in tasks])


def _panes(rules: CheckRules, folder: Path, out: Path, pool: Pool) -> list[PartResult]:
    """Check that every pane comes straight into its opening."""
    truth = truth_of(folder)
    glazed = {opening.id for opening in rules.settings.openings if opening.glass is not None}
    numbers = [number for number, name in enumerate(truth.opening_ids) if name in glazed]
    if not numbers or manifest_of(out).only is not None:
        return []
    tasks = []
    for number in numbers:
        around = sections_near(out, folder, truth.openings[number].mesh.bounds, _BESIDE)
        tasks.append((folder, out, number, around))
    return pool.map("putting panes in", check_pane_goes_in, tasks, [truth.opening_ids[n] for n in numbers])


def _beside(panel: PlannedSection, folder: Path, out: Path) -> tuple[str, ...]:
    """Return the sections that may be around a panel's; none where it cannot be read, which its own check tells."""
    own = section_read(out, folder, panel.id).bounds
    if own is None:
        return ()
    of_panel = {section.id for section in plan_of(out).sections if section.panel == panel.panel}
    return tuple(name for name in sections_near(out, folder, own, _BESIDE) if name not in of_panel)
