"""Checking what hands do: everything brought to joints and bosses, section by section; tools turned, and sections put
together, step by step."""

from __future__ import annotations

from dataclasses import dataclass
from functools import partial
from pathlib import Path

import numpy as np
from shapely import MultiPolygon

from sections.checks.assembly_steps import beyond_seam, check_assembly_step
from sections.checks.bring_hardware import all_brought, check_brought, near, present_at
from sections.checks.built_parts import BuiltSection
from sections.checks.finding import Found, Measure
from sections.checks.hands import check_hands
from sections.checks.hardware import Brought as Thing
from sections.checks.held import check_held
from sections.checks.unjoined import check_unjoined
from sections.export.read_once import read_once
from sections.measuring.reading import as_read, built_section, plan_of, section_read
from sections.numbers.bounds import boxes_meet
from sections.numbers.frame import Plane
from sections.numbers.mesh import join
from sections.plan.hands import REACH, Hands, hand_space, in_the_way
from sections.plan.model import Plan, PlannedJoint, PlannedStep
from sections.processes.pool import Pool
from sections.results.scratch import Scratch
from sections.solids.distance import MeshDistance

# mm; what reaches no further past a step's seam passes nothing on its way.
_PAST = 0.002


@dataclass(frozen=True)
class BroughtToSection:
    """What bringing things to one section gave. past : how far it reaches past the seam of each step it has a part in,
    by the step's number, mm. faces : on its seams, in their frames, mm. middle : (3,) of its bounds, mm."""

    section: str
    result: Found
    past: dict[int, float]
    faces: dict[str, MultiPolygon]
    middle: np.ndarray


def check_reach(folder: Path, out: Path, plan: Plan, pool: Pool) -> Found:
    """Return what hands cannot bring to its place, turn or put on, with the built parts of an output folder. folder :
    scratch."""
    ids = [section.id for section in plan.sections if section_read(out, folder, section.id).why is None]
    brought = pool.map("bringing hardware", bring, [(folder, out, section) for section in ids], ids)
    results = [one.result for one in brought] + [check_unjoined({one.section: one.faces for one in brought}, plan)]
    results.append(check_held({one.section: one.middle for one in brought}, plan))
    present = present_at(plan)
    groups: dict[frozenset[str], list[PlannedJoint]] = {}
    for joint in plan.joints:
        if joint.joint.is_turned and present[joint.pair] <= set(ids):
            groups.setdefault(present[joint.pair], []).append(joint)
    tasks = [(folder, out, tuple(sorted(there)), tuple(joints)) for there, joints in groups.items()]
    results += pool.map("turning tools", turn, tasks, [f"{len(there)} sections" for there in groups])
    past = {one.section: one.past for one in brought}
    tasks = [(folder, out, number, past) for number in range(len(plan.assembly))]
    results += pool.map("putting sections together", put_on, tasks, [step.seam for step in plan.assembly])
    return [f for found, _ in results for f in found], [m for _, read in results for m in read]


def bring(folder: Path, out: Path, section_id: str) -> BroughtToSection:
    """Return what a built section is in the way of; keep which places are in the way of hands, for `turn`."""
    plan, box = plan_of(out), section_read(out, folder, section_id).bounds
    brought, present = _brought(out)
    planes = {seam.id: seam.plane for seam in plan.seams}
    own = {joint.id for joint in plan.joints_of(section_id)} | {boss.id for boss in plan.bosses_of(section_id)}
    steps = {n: step for n, step in enumerate(plan.assembly) if section_id in (*step.moved, *step.onto)}
    task = BringTask(
        near(brought, section_id, box, present),
        tuple(sorted(own)),
        {number: (step, planes[step.seam]) for number, step in steps.items()},
    )
    scratch = Scratch(folder)
    nodes, result = scratch.once(
        "brought", (as_read(out, section_id), task), lambda: _bring(built_section(out, section_id), task)
    )
    scratch.put(f"nodes-{section_id}", nodes)
    scratch.put(f"box-{section_id}", box)
    return result


@dataclass(frozen=True)
class BringTask:
    """What is asked of one section. brought : what passes by it. own : its joints and bosses, by id. steps : of putting
    together in which it has a part, each with its seam's plane, by number."""

    brought: list[Thing]
    own: tuple[str, ...]
    steps: dict[int, tuple[PlannedStep, Plane]]


def _bring(part: BuiltSection, task: BringTask) -> tuple[np.ndarray, BroughtToSection]:
    """Return (the places in the way of hands; what the section is in the way of)."""
    result = check_brought(part, task.brought, set(task.own))
    past = {}
    for number, (step, plane) in task.steps.items():
        moved = part.id in step.moved
        past[number] = beyond_seam(part, plane, np.array(step.direction), moved=moved)
    faces = {name: part.face(plane, plane.frame()) for name, plane in part.planes.items()}
    there = {name: face for name, face in faces.items() if not face.is_empty}
    return in_the_way(part.mesh), BroughtToSection(part.id, result, past, there, part.mesh.bounds.mean(0))


def put_on(folder: Path, out: Path, number: int, past: dict[str, dict[int, float]]) -> Found:
    """Return what is in the way of one step of putting the body together. folder : scratch. past : mm, by section
    and step, as bringing found it."""
    plan = plan_of(out)
    step = plan.assembly[number]
    there = [name for name in (*step.moved, *step.onto) if name in past]
    reach = max((past[name][number] for name in there), default=0.0)
    name = f"step {number + 1}, {step.seam}: {step.moved[0]} onto {step.onto[0]}"
    measures = [Measure("step-past-seam", name, max(reach, 0.0), "mm")]
    if reach <= _PAST:
        return [], measures
    pairs = [pair for pair in plan.pairs if pair.seam == step.seam and {pair.minus, pair.plus} <= set(there)]
    met = [pair for pair in pairs if max(past[pair.minus][number], past[pair.plus][number]) > _PAST]
    names = {name for pair in met for name in (pair.minus, pair.plus)}
    sides = [[one for one in side if one in names] for side in (step.moved, step.onto)]

    def checked() -> Found:
        parts = [[built_section(out, one) for one in side] for side in sides]
        return check_assembly_step(name, step, *parts, reach)

    given = (name, step, reach, [[as_read(out, one) for one in side] for side in sides])
    found, read = Scratch(folder).once("put-on", given, checked)
    return found, measures + read


@read_once(1)
def _brought(out: Path) -> tuple[list[Thing], dict[str, frozenset[str]]]:
    """Return all that is brought in an output folder, and what is there then, worked out once a process."""
    plan = plan_of(out)
    return all_brought(plan), present_at(plan)


def turn(folder: Path, out: Path, there: tuple[str, ...], joints: tuple[PlannedJoint, ...]) -> Found:
    """Return which bolts, joined when these sections are all there, no hand can turn."""
    scratch = Scratch(folder)
    nodes = np.unique(np.vstack([scratch.get(f"nodes-{section}") for section in there]), axis=0)
    reached = hand_space(nodes)
    boxes = {section: scratch.get(f"box-{section}") for section in there}
    findings, measures = [], []
    for pair in sorted({joint.pair for joint in joints}):
        bolts = [joint for joint in joints if joint.pair == pair]
        origins = np.array([joint.frame.origin for joint in bolts])
        bounds = np.array([origins.min(0) - REACH, origins.max(0) + REACH])
        near = [name for name, box in boxes.items() if boxes_meet(box, bounds)]
        places = reached.places(bounds)
        given = (bolts, bounds, [as_read(out, name) for name in near], places)
        turned = partial(_turned, out, bolts, bounds, near, places)
        found, read = scratch.once("turned", given, turned)
        findings, measures = findings + found, measures + read
    return findings, measures


def _turned(out: Path, bolts: list[PlannedJoint], bounds: np.ndarray, near: list[str], places: np.ndarray) -> Found:
    """Return which bolts no hand can turn. bounds : (2, 3) mm, what a hand there reaches. near : sections in them.
    places : (n, 3) mm in them where a hand gets to."""
    hands = Hands(MeshDistance(join([built_section(out, name).mesh.reaching(bounds) for name in near])), places)
    findings, measures = [], []
    for joint in bolts:
        found, read = check_hands(joint, hands)
        findings, measures = findings + found, measures + read
    return findings, measures
