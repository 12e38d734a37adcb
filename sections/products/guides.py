"""Drill guides and clamp pads of a build: made on the built sections, written, read back and checked."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from pathlib import Path

import numpy as np
from pydantic import TypeAdapter
from shapely import Polygon

from sections.building.guide import GuideTask, make_guide
from sections.building.tools import joint_tools
from sections.checks.built_parts import BodyTruth, BuiltSection
from sections.checks.finding import Finding, Found, Measure
from sections.checks.guide import BuiltGuide, check_guide
from sections.coupons.clamp import clamp_pad
from sections.errors import PARAMETERS, BadInput, Problem
from sections.export.manifest import PartRecord, record_file
from sections.measuring.reading import built_section, plan_of, read_data, read_part, read_print, readable, truth_of
from sections.numbers.frame import Frame
from sections.numbers.mesh import NO_GROWTH, Growth, Mesh
from sections.numbers.tolerances import SETTLED
from sections.plan.model import Plan, PlannedPair
from sections.plan.pose import Down
from sections.processes.pool import Pool
from sections.products.exact_parts import ExactPart, write_exact
from sections.products.flat_parts import FlatPart, write_flat
from sections.products.product import Drawing, MadeProduct, Making, Measuring, Product
from sections.results import digest_of
from sections.settings import Settings
from sections.solids.distance import MeshDistance
from sections.solids.planar import face_on_plane
from sections.solids.print_solid import PrintSolid
from sections.wall.carve import grown_body
from sections.wall.kept_body import skin_content

GUIDES_PATH = Path("guides") / "guides.json"
# mm; spare around a guide.
_SPARE = 4.0


@dataclass(frozen=True)
class PlannedGuide:
    """A guide. section : it is put on. frame : on the seam, z out of that section. pose : the bed's frame in the
    vehicle frame. file : its path in the output. growth : by what the file is larger than the guide."""

    id: str
    pair: str
    section: str
    frame: Frame
    pose: Frame
    file: str
    growth: Growth = NO_GROWTH


_ADAPTER = TypeAdapter(tuple[PlannedGuide, ...])


@dataclass(frozen=True)
class _GuideWork:
    """What guides are made from."""

    making: Making

    @cached_property
    def skin(self) -> MeshDistance:
        """The distance to the body's skin."""
        return MeshDistance(self.making.body.skin, self.making.body.doubt)

    @cached_property
    def content(self) -> tuple[str, str]:
        """The digests of the body's skin and block."""
        return skin_content(self.making.scratch.folder), digest_of(self.making.body.block)


def _make(making: Making, pool: Pool) -> MadeProduct:
    """Write the drill guides and clamp pads asked for. Raises BadInput."""
    settings, root, work = making.settings, making.root, _GuideWork(making)
    records, pairs = [], guided_pairs(settings, making.plan)
    pad = clamp_pad(settings)
    if pad is not None:
        part = ExactPart("clamp-pad", "clamp", "hardware", pad, settings.clamps.count)
        records.append(write_exact(settings, part, root)[0])
    if not pairs:
        return MadeProduct(tuple(records))
    pool.progress.start("writing drill guides", 2 * len(pairs))
    planned = []
    for pair in pairs:
        for side in ("minus", "plus"):
            record, guide = _write(work, pair, side)
            records.append(record)
            planned.append(guide)
            pool.progress.advance(guide.id)
    text = _ADAPTER.dump_json(tuple(planned), indent=1) + b"\n"
    (root / GUIDES_PATH).write_bytes(text)
    return MadeProduct(tuple(records), (record_file("json", GUIDES_PATH, text),))


def guided_pairs(settings: Settings, plan: Plan) -> list[PlannedPair]:
    """Return the pairs that guides are asked for. Raises BadInput for one that there is not."""
    named = [] if settings.guides is None else settings.guides.pairs
    return [_pair(plan, name, number) for number, name in enumerate(dict.fromkeys(named), 1)]


def _pair(plan: Plan, name: str, number: int) -> PlannedPair:
    for pair in plan.pairs:
        if pair.id == name:
            return pair
    near = [pair.id for pair in plan.pairs if set(name.replace("+", ":").split(":")) & {pair.minus, pair.plus}]
    limit = f"a pair of plan.json, such as {', '.join(near[:3] or [p.id for p in plan.pairs[:3]])}"
    raise BadInput([Problem(PARAMETERS, f"guides.pairs[{number}]", repr(name), limit, "name one of those")])


def _frame_out(plan: Plan, pair: PlannedPair, side: str) -> Frame:
    """Return a frame on a pair's seam, z out of the section on one side."""
    frame = next(seam for seam in plan.seams if seam.id == pair.seam).plane.frame()
    if side == "minus":
        return frame
    return Frame(frame.origin, frame.x, tuple(-c for c in frame.y), tuple(-c for c in frame.z))


@dataclass(frozen=True)
class _Guide:
    """A guide as it is made, vehicle frame. area : of the face it lies on, mm2."""

    mesh: Mesh
    area: float


def _write(work: _GuideWork, pair: PlannedPair, side: str) -> tuple[PartRecord, PlannedGuide]:
    """Write the guide for one side of a pair; return its record and where it sits."""
    plan, settings = work.making.plan, work.making.settings
    section, frame = plan.section(getattr(pair, side)), _frame_out(plan, pair, side)
    built = work.making.parts[section.id]
    given = (
        section, pair, side, frame, plan.joints_across(pair.id), plan.seams_of(section.id), built.files,
        built.growth, built.foot_height, settings.guides, settings.mesh.pitch, work.content,
    )  # fmt: skip
    made = work.making.scratch.once("guide", given, lambda: _made(work, pair, side, frame))
    name, down = f"guide-{pair.seam}-{section.id}", Down("flat", np.array(frame.z), made.area)
    part = FlatPart(name, "guide", "guides", PrintSolid.of(made.mesh, name), down, (section.id,))
    record, pose = write_flat(settings, part, work.making.root)
    return record, PlannedGuide(name, pair.id, section.id, frame, pose.frame, record.files[0].path, pose.growth)


def _made(work: _GuideWork, pair: PlannedPair, side: str, frame: Frame) -> _Guide:
    """Return the guide for one side of a pair. frame : on the seam, z out of the section."""
    making, plan, table = work.making, work.making.plan, work.making.settings.guides
    section = plan.section(getattr(pair, side))
    built = section.pose.place(read_part(making.root, making.parts[section.id]))
    planes = {seam.id: seam.plane for seam in plan.seams}
    face = face_on_plane(built, planes[pair.seam], frame, SETTLED)
    whole = Polygon(max(face.geoms, key=lambda part: part.area).exterior)

    def outside(by: float) -> PrintSolid:
        low_x, low_y, high_x, high_y = whole.buffer(table.lip + table.wall + table.fit + _SPARE).bounds
        heights = (-table.lip - _SPARE, table.thickness + _SPARE)
        corners = np.array([(x, y, z) for x in (low_x, high_x) for y in (low_y, high_y) for z in heights])
        world = frame.to_world(corners)
        return grown_body(PrintSolid.box(world.min(0), world.max(0)), work.skin, by, making.settings.mesh.pitch)

    joints = plan.joints_across(pair.id)
    taken = [PrintSolid.of(making.body.block, "body").clip([planes[pair.seam].toward(1 if side == "plus" else -1)])]
    if side == "minus":
        tools = joint_tools(one.joint for one in joints if one.joint.tongue)
        over = [one for one in joints if (one.joint, "plus") in tools]
        taken += [tool.solid.placed(one.frame) for one in over for tool in tools[one.joint, "plus"]]
    ends = tuple(planes[name].toward(sign) for name, sign in section.seams if name != pair.seam)
    solid = make_guide(GuideTask(section.id, frame, whole, ends, joints, outside, taken), table)
    return _Guide(solid.mesh(), whole.area)


def placed_guides(out: Path) -> list[tuple[PlannedGuide, Mesh]]:
    """Return the guides of an output folder, each with its mesh read back, in the vehicle frame; none where there are
    none. Raises OutputRefused, BadInput."""
    if not (out / GUIDES_PATH).exists():
        return []
    return [(guide, _placed(out, guide)) for guide in read_data(out / GUIDES_PATH, _ADAPTER.validate_json)]


def _placed(out: Path, guide: PlannedGuide) -> Mesh:
    return guide.pose.place(read_print(out / guide.file, guide.growth))


def check_guides(out: Path, truth: BodyTruth, settings: Settings) -> tuple[list[Finding], list[Measure]]:
    """Return what is wrong with the drill guides of an output folder. Raises OutputRefused."""
    findings, measures = [], []
    if settings.guides is None or not settings.guides.pairs:
        return findings, measures
    plan = plan_of(out)
    for guide in read_data(out / GUIDES_PATH, _ADAPTER.validate_json):
        if readable(out, guide.section) is not None:
            continue  # the section's own check tells it
        try:
            mesh = _placed(out, guide)
        except BadInput as error:
            why = str(error).splitlines()[0]
            findings.append(Finding("unreadable", "unmeasured", guide.id, None, None, "", None, why))
            continue
        section: BuiltSection = built_section(out, guide.section)
        pair = next(one for one in plan.pairs if one.id == guide.pair)
        face = section.face(section.planes[pair.seam], guide.frame)
        built = BuiltGuide(guide.id, mesh, guide.frame, plan.joints_across(pair.id))
        found, read = check_guide(built, section, face, truth.skin, settings)
        findings, measures = findings + found, measures + read
    return findings, measures


def _check(measuring: Measuring, _pool: Pool) -> Found:
    return check_guides(measuring.out, truth_of(measuring.folder), measuring.rules.settings)


def _draw(drawing: Drawing) -> list[str]:
    """Draw the first guide on its section."""
    from sections.pictures.album import make_guide_picture

    guides = placed_guides(drawing.root)
    if not guides:
        return []
    guide, mesh = guides[0]
    return [make_guide_picture(drawing.built[guide.section], mesh, guide.frame, drawing.root)]


GUIDES = Product("guides", _make, refuse=guided_pairs, check=_check, draw=_draw)
