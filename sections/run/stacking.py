"""The stack-up of a built body: read back, tied together, summed, tried by Monte Carlo, compared with what may be."""

from __future__ import annotations

import json
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import shapely

from sections.checks.finding import FINDINGS_SCHEMA, Finding, Measure, Report
from sections.checks.pair_faces import read_faces
from sections.checks.stackup import check_heat, check_slot_lengths, check_sums, limit_of, tilts
from sections.errors import PARAMETERS, BadInput, OutputRefused, Problem
from sections.export.digest import changed_sources, parameters_digest
from sections.export.stage import scratch_beside, staged
from sections.measuring.reading import built_pair, built_section, changed_files, manifest_of, plan_of
from sections.measuring.stack_step import NETWORK, section_sums
from sections.numbers.tolerance_stack import root_sum_square
from sections.pictures.charts import make_stack_charts
from sections.plan.model import Plan
from sections.processes.pool import Pool
from sections.run.stack_page import Stacked, data_text, page_of, stackup_words, widest
from sections.settings import Settings
from sections.settings.printer import PrinterTable
from sections.stackup.growth import heat_of
from sections.stackup.held import held_ties, most_central, steps_from
from sections.stackup.monte_carlo import scattered
from sections.stackup.network import Network, Solid
from sections.stackup.sums import DIRECTIONS
from sections.stackup.ties import Tie, spread_points, ties_of

PAGE_NAME, DATA_NAME = "stackup.html", "stackup.json"
# Points of a shared face that draw two sections together; Monte Carlo trials, and from what seed.
_POINTS, _TIMES, _SEED = 6, 400, 20
# Three standard deviations beside the 1.96 of 95 %.
_THREE = 3 / 1.96
_SHOWN = 12


def stack_up(settings: Settings, folder: Path, out: Path, target: Path, pool: Pool) -> Report:
    """Write what the errors of a body built in `out` add up to into `target`, and return what is too much.

    folder : where the parameter file lies. Raises BadInput, OutputRefused.
    """
    digest = parameters_digest(settings, folder)
    manifest = manifest_of(out)
    stale = manifest.parameters_sha256 != digest or changed_sources(manifest.sources, folder)
    if stale or manifest.only is not None:
        raise OutputRefused(f"{out}: not a whole build of these parameters; build again: sections build ...")
    for part, wrong in changed_files(out, manifest):
        raise OutputRefused(f"{out}: {part}: {wrong}; build again: sections build ...")
    plan = plan_of(out)
    pool.progress.start("reading sections and seams", 1)
    contacts, spacings = _contacts(plan, out), _spacings(plan)
    solids, bounds = _solids(settings, plan, out)
    stacked = _stacked(settings, _Read(plan, out, solids, bounds, ties_of(plan, settings, contacts)), target, pool)
    findings, measures = check_sums(stacked.sums, settings)
    found, read = check_heat(stacked.heat, settings)
    findings += [*check_slot_lengths(spacings, settings), *found, *_apart(stacked)]
    measures += [
        *read,
        *tilts(spacings, settings),
        Measure("stackup-monte-carlo", stacked.sums[0].section, stacked.monte_carlo[0], "mm"),
    ]
    with staged(target, "stackup") as root:
        shown = widest(stacked.sums)[:_SHOWN]
        charts = make_stack_charts(shown, [limit_of(one, settings) for one in shown], root)
        (root / DATA_NAME).write_text(data_text(stacked), "utf-8")
        (root / PAGE_NAME).write_text(page_of(settings, stacked, findings, charts).html(), "utf-8")
    for line in stackup_words(stacked, settings):
        pool.progress.say(line)
    return Report(FINDINGS_SCHEMA, settings.name, digest, tuple(findings), tuple(measures))


@dataclass(frozen=True)
class _Read:
    """A built body, read back. out : its folder. solids : by section. bounds : (2, 3) mm. ties : of its sections."""

    plan: Plan
    out: Path
    solids: dict[str, Solid]
    bounds: np.ndarray
    ties: list[Tie]


def _solids(settings: Settings, plan: Plan, out: Path) -> tuple[dict[str, Solid], np.ndarray]:
    """Return every section as far as errors go, by id, and the bounds of all, (2, 3) mm."""
    solids, boxes = {}, []
    for section in plan.sections:
        mesh = built_section(out, section.id).mesh
        axes, machine = section.pose.rotation, _machine(settings, section.printer)
        size = np.ptp(mesh.vertices @ axes, axis=0)
        unsure = _THREE * np.array(machine.shrink_uncertainty)
        middle = mesh.bounds.mean(0)
        solids[section.id] = Solid(section.id, middle, axes, size, 3 * machine.repeatability, unsure, section.printer)
        boxes.append(mesh.bounds)
    low, high = np.array(boxes).transpose(1, 0, 2)
    return solids, np.array([low.min(0), high.max(0)])


def _machine(settings: Settings, name: str) -> PrinterTable:
    return next((one for one in settings.printers if one.id == name), settings.printer)


def _contacts(plan: Plan, out: Path) -> dict[str, np.ndarray]:
    """Return points of every pair's shared face, as built, far from one another."""
    found = {}
    for pair in plan.pairs:
        faces = read_faces(built_pair(out, pair))
        if not faces.shared.is_empty:
            flat = shapely.get_coordinates(faces.shared)
            places = faces.frame.to_world(np.column_stack([flat, np.zeros(len(flat))]))
            found[pair.id] = spread_points(places, _POINTS)
    return found


def _spacings(plan: Plan) -> dict[str, float]:
    """Return how far the slot of every pair is from its round dowel, mm, along the slot."""
    found = {}
    for pair in plan.pairs:
        dowels = [joint for joint in plan.joints_across(pair.id) if joint.joint.locates]
        slots = [joint for joint in dowels if joint.joint.slot]
        rounds = [joint for joint in dowels if not joint.joint.slot]
        if slots and rounds:
            apart = np.array(slots[0].frame.origin) - rounds[0].frame.origin
            found[pair.id] = abs(float(apart @ np.array(slots[0].frame.x)))
    return found


def _stacked(settings: Settings, read: _Read, target: Path, pool: Pool) -> Stacked:
    solids, held, jig = read.solids, *_held(settings, read)
    steps = steps_from(held, read.ties)
    off = settings.stackup.jig_tolerance if jig else None
    ties = [tie for tie in read.ties if tie.plus in steps]
    ties += [tie for section in held for tie in held_ties(solids[section], off)]
    network = Network(tuple(solids[section] for section in solids if section in steps), tuple(ties))
    _must_hold(network, read.plan, read.out)
    datum = np.mean([solids[section].middle for section in held], axis=0)
    with scratch_beside(target, pool.store) as scratch:
        scratch.put(NETWORK, network)
        skins = {section: settings.mesh.deviation + solids[section].spread / 2 for section in steps}
        tasks = [(scratch.folder, read.out, section, skins[section], datum) for section in steps]
        sums = [one for its in pool.map("adding up", section_sums, tasks, list(steps)) for one in its]
    sums.sort(key=lambda one: (-one.usual, one.section))
    worst = sums[0]
    landed = scattered(network, worst.section, np.array(worst.place), _TIMES, _SEED) @ DIRECTIONS[worst.along]
    same = root_sum_square([one for one in worst.parts if not one.name.startswith("skin")])
    apart = tuple(section for section in solids if section not in steps)
    heat = heat_of(read.plan, settings, read.bounds)
    return Stacked(held, jig, sums, apart, (3 * float(landed.std()), same), _TIMES, heat)


def _must_hold(network: Network, plan: Plan, out: Path) -> None:
    """Refuse a body in which a section can still move on its neighbours. Raises OutputRefused."""
    try:
        network.answer.shape  # noqa: B018
    except ValueError:
        dowels = {pair.id: sum(j.joint.locates for j in plan.joints_across(pair.id)) for pair in plan.pairs}
        few = [pair for pair, count in dowels.items() if count < 2]
        said = f"pairs with fewer than two dowels: {', '.join(few[:5]) or 'none'}"
        raise OutputRefused(f"{out}: cannot be added up, a section can still move on its neighbours; {said}") from None


def _held(settings: Settings, read: _Read) -> tuple[tuple[str, ...], bool]:
    """Return the sections the others hang on, and whether a jig holds them: as its check measured on the built
    parts."""
    ids = list(read.solids)
    datum = settings.stackup.datum
    if datum is not None:
        if datum not in ids:
            limit = f"the id of a section, such as {', '.join(ids[:3])}"
            raise BadInput([Problem(PARAMETERS, "stackup.datum", repr(datum), limit, "correct the id")])
        return (datum,), False
    on_jig = _on_jig(read.out) if settings.jig is not None else ()
    return (on_jig, True) if on_jig else ((most_central(ids, read.ties),), False)


def _on_jig(out: Path) -> tuple[str, ...]:
    """Return the sections a pad of the jig was found to hold. Raises OutputRefused without findings.json."""
    path = out / "findings.json"
    try:
        measures = json.loads(path.read_text("utf-8"))["measures"]
    except (OSError, ValueError, KeyError):
        raise OutputRefused(f"{path}: there is none that can be read; measure first: sections check ...") from None
    return tuple(one["part"] for one in measures if one["name"] == "joints-from-jig" and one["value"] == 0)


def _apart(stacked: Stacked) -> list[Finding]:
    text = "hangs on nothing that is held, as a panel that opens: reckon it on its own, with a datum in it"
    return [Finding("stackup-apart", "note", section, None, None, "", None, text) for section in stacked.apart]
