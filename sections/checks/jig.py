"""The jig as its sheets have it: slots, pads on the built sections, nothing in the way, one way to lie."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
import shapely
from shapely import LineString, Point, Polygon, box

from sections.checks.built_parts import BuiltSection
from sections.checks.finding import Finding, Measure, place
from sections.jig.locating import Contact, firmness, freedoms_held
from sections.jig.model import PlannedSheetPart
from sections.jig.sheet_part import Slot
from sections.numbers.frame import Plane
from sections.numbers.tolerances import IN_THE_WAY_WITH_PLAY
from sections.settings.jig import JigTable
from sections.solids.print_solid import PrintSolid

# mm; how far a slot may be off, as drawn, and a pad's gap beside the skin's own deviation.
_SLOT, _PAD = 0.02, 0.1
# Of a template's outline that follows the skin, at least: about a half is its outer side.
_FOLLOWS = 0.25
# mm2; less in common is a touch.
_SPECK = 0.01
# mm; a sheet that slides in comes from so far beyond; how far the body is lifted to see that it comes off the jig.
_BEYOND, _LIFTS = 20.0, (2.0, 10.0, 40.0, 120.0, 300.0)
# mm; between places looked at along a pad; a line far longer than any part; how far a slot is looked at off its end.
_STEP, _FAR, _UP = 1.0, 1e4, 0.5


@dataclass(frozen=True)
class BuiltSheetPart:
    """One part of the jig as read back. planned : where it stands. outline : in its own x, y, mm."""

    planned: PlannedSheetPart
    outline: Polygon

    @property
    def id(self) -> str:
        """Its name."""
        return self.planned.id

    @cached_property
    def solid(self) -> PrintSolid:
        """The part standing in the vehicle frame."""
        half = self.planned.thickness / 2
        return PrintSolid.prism(self.outline, -half, half).placed(self.planned.frame)


def check_sheet_slots(part: BuiltSheetPart, jig: JigTable) -> tuple[list[Finding], list[Measure]]:
    """Return a finding for every slot that is not as wide as the sheet and a fit on either side, or ends elsewhere."""
    findings, measures = [], []
    for number, slot in enumerate(part.planned.slots, 1):
        name, wanted = f"{part.id}:slot{number}", jig.thickness + 2 * jig.fit
        half_way = (slot.end + np.clip(slot.mouth, *part.outline.bounds[1::2])) / 2
        width = _free(part.outline, (slot.middle, half_way), (1.0, 0.0))
        end = _end(part.outline, slot.middle, half_way, np.sign(slot.end - half_way))
        measures += [Measure("jig-slot-width", name, width, "mm"), Measure("jig-slot-end", name, end, "mm")]
        where = place(part.planned.frame.to_world(np.array([[slot.middle, slot.end, 0.0]]))[0])
        if abs(width - wanted) > _SLOT:
            findings.append(Finding("jig-slot", "fault", name, width, wanted, "mm", where, "the slot's width"))
        if abs(end - slot.end) > _SLOT:
            findings.append(Finding("jig-slot", "fault", name, end, slot.end, "mm", where, "where the slot ends"))
        found, read = _slides_in(part, slot, name, jig)
        findings, measures = findings + found, measures + read
    return findings, measures


def _slides_in(part: BuiltSheetPart, slot: Slot, name: str, jig: JigTable) -> tuple[list[Finding], list[Measure]]:
    """Return whether the other sheet slides into a slot, from beyond the part's edge to its end."""
    low_y, high_y = part.outline.bounds[1::2]
    start = low_y - _BEYOND if slot.mouth < slot.end else high_y + _BEYOND
    low, high = sorted((start, slot.end - _SLOT * np.sign(slot.end - start)))
    half = jig.thickness / 2
    blocked = float(part.outline.intersection(box(slot.middle - half, low, slot.middle + half, high)).area)
    measures = [Measure("jig-slot-blocked", name, blocked, "mm2")]
    if blocked <= _SPECK:
        return [], measures
    where = place(part.planned.frame.to_world(np.array([[slot.middle, slot.end, 0.0]]))[0])
    text = "the other sheet does not slide into this slot"
    return [Finding("blocked", "fault", name, blocked, _SPECK, "mm2", where, text)], measures


def _free(outline: Polygon, at: tuple[float, float], way: tuple[float, float]) -> float:
    """Return how far, mm, it is from edge to edge across a place outside an outline but within its slot."""
    x, y = at
    line = LineString([(x - _FAR * way[0], y - _FAR * way[1]), (x + _FAR * way[0], y + _FAR * way[1])])
    gaps = [gap for gap in _parts(line - outline) if gap.distance(Point(at)) < 1e-9]
    return float(gaps[0].length) if gaps else 0.0


def _end(outline: Polygon, x: float, start: float, sign: float) -> float:
    """Return the height, mm, at which an outline is met straight up (sign 1) or down (-1) from within a slot."""
    met = LineString([(x, start), (x, start + sign * _FAR)]) & outline
    heights = shapely.get_coordinates(met)[:, 1] if not met.is_empty else np.array([start])
    return float(heights.min() if sign > 0 else heights.max())


def _parts(shape) -> list:
    return list(getattr(shape, "geoms", [shape]))


def check_splice(part: BuiltSheetPart, others: list[BuiltSheetPart], jig: JigTable):
    """Return a finding for every other piece of one rail that a part joins with another gap than the fit asked."""
    findings, measures = [], []
    for other in others:
        if other.planned.frame != part.planned.frame or not _continues(part.outline, other.outline):
            continue
        gap, name = float(part.outline.distance(other.outline)), f"{part.id}+{other.id}"
        measures.append(Measure("jig-splice", name, gap, "mm"))
        if abs(gap - jig.fit) > _SLOT:
            findings.append(Finding("jig-splice", "fault", name, gap, jig.fit, "mm", None, "the gap where they join"))
    return findings, measures


def _continues(one: Polygon, other: Polygon) -> bool:
    """Return whether one outline reaches into the bounds of another along it, as a tail does."""
    return one.bounds[0] < other.bounds[2] and other.bounds[0] < one.bounds[2]


def check_clear(part: BuiltSheetPart, sections: list[BuiltSection], others: list[BuiltSheetPart]):
    """Return a finding for every section, and every other part of the jig, that is in a part's way."""
    findings, worst = [], 0.0
    for other in (*sections, *others):
        if _apart(part.solid.bounds, other.solid.bounds):
            continue
        common = part.solid.common(other.solid)
        worst = max(worst, common.volume_mm3)
        if common.volume_mm3 > IN_THE_WAY_WITH_PLAY:
            where = place(common.bounds.mean(0))
            text = f"{other.id} and this part of the jig are in one place"
            findings.append(
                Finding("jig-clash", "fault", part.id, common.volume_mm3, IN_THE_WAY_WITH_PLAY, "mm3", where, text)
            )
    return findings, [Measure("jig-clash", part.id, worst, "mm3")]


def check_lifting(part: BuiltSheetPart, sections: list[BuiltSection]) -> tuple[list[Finding], list[Measure]]:
    """Return a finding for every section that a part of the jig is in the way of as the body is lifted straight up, or
    set down. Templates are put on from the side."""
    if part.planned.follows is not None:
        return [], []
    findings, worst = [], 0.0
    for section in sections:
        for up in _LIFTS:
            lifted = section.solid.moved(np.array([0.0, 0.0, up]))
            if _apart(part.solid.bounds, lifted.bounds):
                continue
            common = part.solid.common(lifted)
            worst = max(worst, common.volume_mm3)
            if common.volume_mm3 > IN_THE_WAY_WITH_PLAY:
                where, text = place(common.bounds.mean(0)), f"{section.id} cannot be lifted: it is in the way"
                findings.append(
                    Finding("blocked", "fault", part.id, common.volume_mm3, IN_THE_WAY_WITH_PLAY, "mm3", where, text)
                )
                break
    return findings, [Measure("jig-lift-blocked", part.id, worst, "mm3")]


def _apart(one: np.ndarray, two: np.ndarray) -> bool:
    return bool((one[0] > two[1]).any() or (two[0] > one[1]).any())


def check_pad(contact: Contact, part: BuiltSheetPart, sections: list[BuiltSection], jig: JigTable, deviation: float):
    """Return (findings, measures, id of the section held): how far a pad's edge is off the built sections, square to
    their skin, at the nearest place on both of its faces.

    sections : those near. deviation : mm, of the skin.
    """
    edges = _edge(part, contact, jig)
    nearest, held = jig.gap + jig.shim_gap + jig.relief, ""
    for section in sections:
        gap = float(section.surface.unsigned(edges).min(initial=np.inf))
        nearest, held = (gap, section.id) if gap < nearest else (nearest, held)
    measures = [Measure("jig-pad-gap", contact.id, nearest, "mm")] if held else []
    limit = _PAD + deviation
    if not held or abs(nearest - contact.gap) > limit:
        measured = nearest if held else None
        text = f"the pad is to be {contact.gap:g} mm off the skin" if held else "no section at this pad"
        where = place(contact.place)
        return [Finding("jig-pad", "fault", contact.id, measured, contact.gap, "mm", where, text)], measures, held
    return [], measures, held


def _edge(part: BuiltSheetPart, contact: Contact, jig: JigTable) -> np.ndarray:
    """Return places along a pad's edge on both faces of the sheet, (n, 3) mm, vehicle frame."""
    at = part.planned.frame.to_local(np.array([contact.place]))[0, :2]
    out = part.planned.frame.to_local(np.array(part.planned.frame.origin) + np.array([contact.normal]))[0, :2]
    out /= np.linalg.norm(out)
    ring = part.outline.exterior
    places = np.array([ring.interpolate(i * _STEP).coords[0] for i in range(int(ring.length / _STEP))])
    off = places - at
    reach = jig.pad / 2 + jig.gap + jig.shim_gap + jig.thickness
    near = (np.abs(off @ np.array([-out[1], out[0]])) < jig.pad / 2) & (np.linalg.norm(off, axis=1) < reach)
    half = part.planned.thickness / 2
    # A hair within the faces: a ray along a section's own edge may miss it.
    levels = [np.column_stack([places[near], np.full(near.sum(), z)]) for z in (-half, half)]
    return part.planned.frame.to_world(np.vstack(levels))


def check_template(part: BuiltSheetPart, sections: list[BuiltSection], deviation: float):
    """Return a finding when a template's edge is not its gap off the built sections, seen in the sheet's plane: nearer
    or farther at its nearest, or along too little of its outline.

    deviation : mm, of the skin.
    """
    wanted, frame, half = part.planned.follows, part.planned.frame, part.planned.thickness / 2
    if wanted is None:
        return [], []
    normal, middle = np.asarray(frame.z), float(np.asarray(frame.z) @ np.asarray(frame.origin))
    slab = [Plane(tuple(normal), middle - half), Plane(tuple(-normal), -middle - half)]
    shadows = [section.solid.clip(slab).shadow(frame) for section in sections]
    body = shapely.union_all([shape for shape in shadows if not shape.is_empty])
    if body.is_empty:
        text = "no section beside this template"
        return [Finding("jig-template", "fault", part.id, None, wanted, "mm", None, text)], []
    ring = part.outline.exterior
    away = shapely.distance(shapely.points(shapely.get_coordinates(ring.segmentize(_STEP))), body)
    least, near = float(away.min()), float((away < wanted + _PAD + deviation).mean())
    measures = [Measure("jig-template-gap", part.id, least, "mm"), Measure("jig-template-share", part.id, near, "")]
    if abs(least - wanted) <= _PAD + deviation and near > _FOLLOWS:
        return [], measures
    text = f"{100 * near:.0f} % of its outline follows the sections at that gap"
    return [Finding("jig-template", "fault", part.id, least, wanted, "mm", None, text)], measures


def check_location(contacts: tuple[Contact, ...]) -> tuple[list[Finding], list[Measure]]:
    """Return a finding unless six contacts locate, hold all six freedoms, and none of them is one too many."""
    six = [one for one in contacts if one.locates]
    held = freedoms_held(six)
    without = [freedoms_held([one for one in six if one is not left]) for left in six]
    measures = [Measure("jig-freedoms", "jig", held, "")]
    if len(six) != 6 or held != 6 or set(without) != {5}:
        text = f"{len(six)} contacts locate; 3-2-1 takes six, each of which takes a freedom of its own"
        return [Finding("jig-location", "fault", "jig", held, 6, "", None, text)], measures
    return [], [*measures, Measure("jig-firmness", "jig", firmness(six), "")]
