"""The plan: plain data that says where everything sits. Saved as plan.json; nothing is decided after it."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

from pydantic import TypeAdapter

from sections.features.label import Label
from sections.features.table import AnyBoss, AnyJoint
from sections.numbers.frame import Frame, Plane
from sections.numbers.mesh import NO_GROWTH, Growth
from sections.plan.bed_cost import Standing
from sections.plan.foot import Foot

PLAN_SCHEMA = 2

Place = tuple[float, float, float]


@dataclass(frozen=True)
class PlannedSeam:
    """A seam in place. given : its id in the parameter file. within : sides of other seams it is limited to.
    bolted : whether bolts draw it together, or "room" where only where there is room for one."""

    id: str
    given: str
    plane: Plane
    within: tuple[str, ...]
    bolted: bool | str


@dataclass(frozen=True)
class PlannedSection:
    """One section.

    id : its name for good. mirror_of : the section it is the mirror image of, before joints and labels. seams :
    the seams that bound it, with the side (+1 or -1) it lies on. pose : the bed's frame in the vehicle frame:
    pose.to_local gives print coordinates. size : in them, mm. down : what lies on the bed. label :
    its label and where, None where there is no room. printer : which, "" where there is one. panel : the one that
    opens which it is of, "" for the body. growth : by what its print files are larger than the section, that it may
    shrink to it. standing : how it stands in its pose. foot : printed beside it, None where it needs none.
    """

    id: str
    mirror_of: str | None
    seams: tuple[tuple[str, int], ...]
    pose: Frame
    size: tuple[float, float, float]
    down: str
    label: Label | None
    label_frame: Frame | None
    printer: str = ""
    panel: str = ""
    growth: Growth = NO_GROWTH
    standing: Standing | None = None
    foot: Foot | None = None


@dataclass(frozen=True)
class PlannedPair:
    """Two sections that share a face on a seam, and how large it is."""

    id: str
    seam: str
    minus: str
    plus: str
    area_mm2: float


@dataclass(frozen=True)
class PlannedJoint:
    """One joint of a pair. frame : origin on the seam, z its normal, x along the flange (a slot runs along x). why :
    why it is as it is, where there was a choice."""

    id: str
    pair: str
    minus: str
    plus: str
    frame: Frame
    joint: AnyJoint
    why: str = ""


@dataclass(frozen=True)
class PlannedBoss:
    """One boss or hardpoint. frame : origin in its mouth, z out of it."""

    id: str
    section: str
    frame: Frame
    boss: AnyBoss


@dataclass(frozen=True)
class PlannedShortage:
    """Something a pair of sections or a section should have had and has no room for. kind : what, or "joint" for two
    that only touch, "bonded" for two whose bolts were asked for only where there is room. at : a place on what the pair
    shares, mm."""

    kind: str
    where: str
    reason: str
    at: Place | None = None


# Of these a builder is to know, and need not change anything.
NOTED = ("joint", "bonded")


@dataclass(frozen=True)
class PlannedStep:
    """One step of putting the body together: `moved` is brought onto `onto`, both whole by then, straight along
    `direction`, unit. All ids of sections; joints between the two lie on one plane, so nothing is in the way."""

    seam: str
    direction: tuple[float, float, float]
    moved: tuple[str, ...]
    onto: tuple[str, ...]


@dataclass(frozen=True)
class Plan:
    """All that was decided for one body."""

    schema: int
    name: str
    seams: tuple[PlannedSeam, ...]
    sections: tuple[PlannedSection, ...]
    pairs: tuple[PlannedPair, ...]
    joints: tuple[PlannedJoint, ...]
    bosses: tuple[PlannedBoss, ...]
    shortages: tuple[PlannedShortage, ...]
    assembly: tuple[PlannedStep, ...] = ()

    def section(self, section_id: str) -> PlannedSection:
        """Return the section of that id. Raises KeyError."""
        for section in self.sections:
            if section.id == section_id:
                return section
        raise KeyError(section_id)

    @cached_property
    def _by_pair(self) -> dict[str, tuple[PlannedJoint, ...]]:
        by_pair: dict[str, list[PlannedJoint]] = {}
        for joint in self.joints:
            by_pair.setdefault(joint.pair, []).append(joint)
        return {pair: tuple(joints) for pair, joints in by_pair.items()}

    def joints_across(self, pair_id: str) -> tuple[PlannedJoint, ...]:
        """Return the joints between one pair of sections."""
        return self._by_pair.get(pair_id, ())

    def joints_of(self, section_id: str) -> tuple[PlannedJoint, ...]:
        """Return the joints a section shares in."""
        return tuple(joint for joint in self.joints if section_id in (joint.minus, joint.plus))

    def seams_of(self, section_id: str) -> tuple[PlannedSeam, ...]:
        """Return the seams that bound a section."""
        bounding = dict(self.section(section_id).seams)
        return tuple(seam for seam in self.seams if seam.id in bounding)

    def bosses_of(self, section_id: str) -> tuple[PlannedBoss, ...]:
        """Return the bosses and hardpoints of a section."""
        return tuple(boss for boss in self.bosses if boss.section == section_id)

    def neighbours(self, section_id: str) -> tuple[str, ...]:
        """Return the ids of the sections it shares a face with, sorted."""
        pairs = [pair for pair in self.pairs if section_id in (pair.minus, pair.plus)]
        return tuple(sorted({pair.plus if pair.minus == section_id else pair.minus for pair in pairs}))


_ADAPTER = TypeAdapter(Plan)


def plan_to_json(plan: Plan) -> str:
    """Return the plan as JSON text; plan_from_json gives it back equal."""
    return _ADAPTER.dump_json(plan, indent=1).decode() + "\n"


def plan_from_json(text: str) -> Plan:
    """Return the plan of a JSON text. Raises pydantic.ValidationError when it is not one."""
    return _ADAPTER.validate_json(text)
