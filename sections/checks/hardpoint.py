"""Hardpoints: mouth in its place, slot and channel, stress by the sections as built, what hangs over in the printer."""

from __future__ import annotations

import numpy as np
import shapely

from sections.checks.built_parts import BodyTruth, BuiltSection, CheckRules
from sections.checks.finding import Finding, Measure, judge_span, place
from sections.donor.kept_off import KeptOff
from sections.features.hardpoint import HardpointShape
from sections.numbers.cross_section import CrossSection
from sections.numbers.frame import Frame
from sections.numbers.tolerances import IN_THE_WAY_WITH_PLAY
from sections.plan.model import Plan, PlannedBoss
from sections.settings import Settings
from sections.settings.bosses import Hardpoint as HardpointSettings
from sections.solids.print_solid import PrintSolid
from sections.standards import fastener, insert
from sections.standards.strength import bearing_area, pull_out

# Heights a standoff is cut at; the part by which a stress may be over what is allowed (facets take a little off).
_LEVELS, _ROUNDING = 24, 1.02
# The rise of a normal that hangs over by 1 deg more than 45; mm2 of it that are reported.
_HANGS, _TOLD = -np.sin(np.radians(46.0)), 20.0
# A socket is 1.5 x as wide as the flats it turns, a hand 80 mm wide and 60 deep: common practice, no source.
_SOCKET, _HAND, _HAND_DEEP, _OFF_MOUTH = 1.5, 80.0, 60.0, 1.0
_RING = np.linspace(0, 2 * np.pi, 24, endpoint=False)


def check_hardpoints(part: BuiltSection, truth: BodyTruth, rules: CheckRules) -> tuple[list[Finding], list[Measure]]:
    """Return what is wrong with the hardpoints of a section, read by rays and by cuts across each."""
    findings, measures = [], []
    for planned in part.bosses:
        if not isinstance(planned.boss, HardpointShape):
            continue
        where = place(planned.frame.origin)
        for name, value, span, unit, text in (*_shape(planned, part, rules), *_strength(planned, part, rules)):
            found, read = judge_span(f"hardpoint-{name}", planned.id, value, span, unit, where, text)
            findings, measures = findings + found, measures + read
        hanging = _hanging(planned, part, truth, rules)
        measures.append(Measure("hardpoint-support", planned.id, hanging, "mm2"))
        if hanging > _TOLD:
            text = "hangs over in the printer by more than 45 deg and needs support"
            findings.append(Finding("hardpoint-support", "note", planned.id, hanging, _TOLD, "mm2", where, text))
    return findings, measures


def tool_spaces(plan: Plan, settings: Settings) -> tuple[KeptOff, ...]:
    """Return for every hardpoint the space its socket and the hand behind it take in front of the mouth."""
    given = {one.id: one for one in settings.hardpoints}
    spaces = []
    for planned in plan.bosses:
        if isinstance(planned.boss, HardpointShape):
            asked = given.get(planned.id) or given[planned.id.removesuffix("-mirrored")]
            spaces.append(KeptOff(f"tool-at-{planned.id}", _tool(planned.frame, asked).mesh(), 0.0))
    return tuple(spaces)


def _tool(frame: Frame, asked: HardpointSettings) -> PrintSolid:
    wide = _SOCKET * fastener(asked.bolt or asked.insert).nut_flats
    end = max(asked.tool_reach, 2 * _OFF_MOUTH)
    socket = PrintSolid.rod(wide / 2, _OFF_MOUTH, end)
    hand = PrintSolid.rod(_HAND / 2, end, end + _HAND_DEEP)
    return socket.unite([hand]).placed(frame)


def _shape(planned: PlannedBoss, part: BuiltSection, rules: CheckRules):
    """Yield (name, measured, (least, most), unit, text) of mouth, slot and channel."""
    boss, frame, slack = planned.boss, planned.frame, rules.settings.checks.fit
    out = np.column_stack([np.cos(_RING), np.sin(_RING), 0 * _RING])
    ends = boss.travel * np.sign(np.round(out[:, :1], 9)) * [1.0, 0.0, 0.0]
    over = ends + out * (boss.hole + boss.outer) / 4 + [0.0, 0.0, 2.0]
    away = _along(part, frame, over, [0.0, 0.0, -1.0]) - 2.0
    yield "face", float(np.abs(away).max()), (-np.inf, slack), "mm", "the mouth is not where the donor's face is"
    low = [0.0, 0.0, -boss.hole_at]
    ways = _along(part, frame, np.array([low, low]), np.array([[1.0, 0, 0], [-1.0, 0, 0]]))
    asked = boss.travel + boss.hole / 2
    yield "travel", float(ways.min()), (asked - slack, asked + slack), "mm", "how far the slot reaches from the middle"
    if boss.channel is None:
        return
    channel = boss.channel
    for name, groove, high, deep in (
        ("washer", channel.washer, channel.lip, channel.lip + channel.high),
        ("nut", channel.nut, channel.lip + channel.high, channel.depth),
    ):
        at = np.array([[x, 0.0, -(high + deep) / 2] for x in (-boss.travel, 0.0, boss.travel + boss.outer / 2 - 0.5)])
        wide = sum(_along(part, frame, at, [0.0, side, 0.0]) for side in (1.0, -1.0))
        text = f"width of the channel for the {name}"
        yield f"{name}-width", float(wide.min()), (groove - 2 * slack, groove + 2 * slack), "mm", text
        # All of it, straight in from outside, its own width before the channel's mouth.
        reach, half = boss.travel + boss.outer / 2 + groove, groove / 2 - 2 * slack
        way = PrintSolid.box(np.array([0.0, -half, -deep + slack]), np.array([reach, half, -high - slack]))
        blocked = max(part.solid.common(way.placed(frame)).volume_mm3, 0.0)
        yield (
            f"{name}-way-in",
            blocked,
            (0.0, IN_THE_WAY_WITH_PLAY),
            "mm3",
            f"what is in the way of the {name} as it is slid in",
        )
    beside = (boss.hole + channel.washer) / 4
    at = np.array([[0.0, side * beside, -channel.lip - channel.high / 2] for side in (1.0, -1.0)])
    lip = channel.lip + channel.high / 2 - _along(part, frame, at, [0.0, 0.0, 1.0])
    yield "lip", float(lip.min()), (channel.lip - slack, np.inf), "mm", "plastic over the washer"


def _strength(planned: PlannedBoss, part: BuiltSection, rules: CheckRules):
    """Yield (name, measured, (least, most), unit, text) of stresses and pull-out under the loads given."""
    boss, allowable = planned.boss, rules.settings.material.allowable_stress
    if allowable is None or (boss.load == 0 and boss.side == 0):
        return
    stresses = [_stress(planned, part, below) for below in np.linspace(0.5, boss.height - 0.1, _LEVELS)]
    text = "the standoff's largest stress under its load"
    yield "stress", max(stresses), (0.0, allowable * _ROUNDING), "MPa", text
    low = np.array([[0.0, 0.0, -boss.hole_at]])
    hole = sum(float(_along(part, planned.frame, low, [0.0, side, 0.0])[0]) for side in (1.0, -1.0))
    size = boss.takes.split()[0]
    if boss.channel is None:
        depth = float(_along(part, planned.frame, np.zeros((1, 3)), [0.0, 0.0, -1.0])[0])
        row = insert(size)
        holds = pull_out(row, allowable) * min(1.0, depth / row.length)
        yield "pull-out", holds, (boss.load, np.inf), "N", "what the insert holds"
    else:
        pressure = boss.load / bearing_area(fastener(size).washer_outer, hole, 2 * boss.travel)
        yield "bearing", pressure, (0.0, allowable * _ROUNDING), "MPa", "pressure under the washer"


def _stress(planned: PlannedBoss, part: BuiltSection, below: float) -> float:
    """Return the largest stress, MPa, in the standoff as built, cut across at `below` mm from its mouth; what its
    gusset and base cone add is left out. Infinite where there is nothing."""
    boss, frame = planned.boss, planned.frame
    within = shapely.LineString([(-boss.travel, 0), (boss.travel, 0)]) if boss.travel else shapely.Point(0, 0)
    found = part.solid.section_at(frame.at((0.0, 0.0, -below))) & within.buffer(boss.outer / 2 + 0.05)
    if found.area < 1.0:
        return np.inf
    return CrossSection.of(found).stress(boss.load, boss.side * below)


def _hanging(planned: PlannedBoss, part: BuiltSection, truth: BodyTruth, rules: CheckRules) -> float:
    """Return how much of a hardpoint's outside, mm2, looks down in the printer by more than 45 deg."""
    boss, mesh = planned.boss, part.mesh
    down = mesh.normals @ np.array(part.planned.pose.z) < _HANGS
    middle = mesh.triangles[down].mean(1)
    local = planned.frame.to_local(middle)
    aside = np.hypot(np.maximum(np.abs(local[:, 0]) - boss.travel, 0.0), local[:, 1])
    near = (aside < boss.outer / 2 + boss.base_cone + 0.5) | _in_gusset(boss, local)
    near &= (local[:, 2] > -boss.height) & (local[:, 2] < 0.1)
    # Not its hole or channel, which bridge a nut's width; not the wall it stands on.
    outside = (aside > boss.outer / 2 - 0.1) | (local[:, 2] > -0.1)
    chosen = near & outside
    if chosen.any():
        chosen[chosen] = truth.skin.depth(middle[chosen]) > rules.settings.wall.thickness + 0.5
    return float(mesh.areas_mm2[down][chosen].sum())


def _in_gusset(boss: HardpointShape, local: np.ndarray) -> np.ndarray:
    """Return which points, (n,), of its frame lie in a hardpoint's gusset or on it."""
    angle = np.radians(boss.turn)
    out = local[:, 0] * np.cos(angle) + local[:, 1] * np.sin(angle)
    aside = local[:, 1] * np.cos(angle) - local[:, 0] * np.sin(angle)
    edge = boss.outer / 2 + boss.travel * abs(np.cos(angle)) - local[:, 2] * boss.gusset
    half = boss.outer / 2 + boss.travel * abs(np.sin(angle))
    return (boss.gusset > 0) & (out > 0) & (out < edge + 1.0) & (np.abs(aside) < half + 0.5)


def _along(part: BuiltSection, frame: Frame, local: np.ndarray, ways) -> np.ndarray:
    """Return how far, (n,) mm, it is from points of a frame along directions of it to the part's surface."""
    ways = np.broadcast_to(np.asarray(ways, float), local.shape)
    return part.surface.first_hit(frame.to_world(local), ways @ frame.rotation.T)[1]
