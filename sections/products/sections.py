"""The sections themselves: built and written, measured one by one, in pairs and all together, drawn."""

from __future__ import annotations

from functools import partial

from sections.building.section import Toolbox
from sections.building.tools import boss_tools, joint_tools
from sections.checks.finding import Found
from sections.export.files import PRINT_FORMATS
from sections.export.manifest import PartRecord
from sections.features.hardpoint import HardpointShape
from sections.measuring.section_checks import check_sections
from sections.plan.model import Plan
from sections.processes.pool import Pool
from sections.products.product import Drawing, MadeProduct, Making, Measuring, Product
from sections.products.section_step import MadePart, build_section
from sections.results.scratch import Scratch
from sections.settings import Settings

# How far around a hardpoint its picture shows, in heights of it.
_AROUND = 1.3


def _make(making: Making, pool: Pool) -> MadeProduct:
    """Build and write every section of the plan; the plan and its tools stay in the scratch folder."""
    settings, plan, scratch = making.settings, making.plan, making.scratch
    pool.progress.start("making tools", 1)
    scratch.put("plan", plan)
    scratch.put("tools", _tools(plan, scratch))
    ids = [section.id for section in plan.sections]
    # A section's STEP file is made afterwards.
    formats = [name for name in settings.output.formats if name in PRINT_FORMATS]
    blanks = making.planned.blanks
    tasks = [(scratch.folder, i, blanks[i], making.root, formats, settings.material.name) for i in ids]
    made = pool.map("building sections", build_section, tasks, ids)
    return MadeProduct(tuple(_record(settings, plan, part, files) for part, files in made))


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


def _check(measuring: Measuring, pool: Pool) -> Found:
    return check_sections(measuring.folder, measuring.out, measuring.rules, measuring.seams, pool)


def _draw(drawing: Drawing) -> list[str]:
    """Draw all sections, assembled and apart; the one with most joints; the widest hardpoint cut; what is kept off."""
    from sections.pictures.album import make_cut_picture, make_keep_out_picture, make_pictures

    plan, built, root = drawing.plan, drawing.built, drawing.root
    marked = [section for section in plan.sections if section.label_frame is not None]
    shown = max(marked or plan.sections, key=lambda section: len(plan.joints_of(section.id)))
    made = make_pictures(built, shown.id, shown.label_frame or shown.pose, root)
    points = [boss for boss in plan.bosses if isinstance(boss.boss, HardpointShape)]
    if points:
        widest = max(points, key=lambda boss: boss.boss.travel)
        name = f"cut-{widest.id}"
        made.append(make_cut_picture(built[widest.section], widest.frame, _AROUND * widest.boss.height, root, name))
    if drawing.kept_off:
        made.append(make_keep_out_picture(built, [one.mesh for one in drawing.kept_off], root))
    return made


SECTIONS = Product("sections", _make, check=_check, draw=_draw, whole=False)
