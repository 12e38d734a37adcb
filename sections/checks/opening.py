"""Edges of openings as built: return flanges, rebates for panes, the gap around panels that open."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import partial

import numpy as np

from sections.checks.built_parts import BodyTruth, BuiltSection, CheckRules
from sections.checks.finding import Finding, Measure, judge_span, place
from sections.numbers.bounds import boxes_meet
from sections.numbers.mesh import Mesh
from sections.numbers.sampling import sample_surface
from sections.numbers.tolerances import ON_SURFACE
from sections.settings.openings import Glass, Opening, Rim
from sections.solids.distance import MeshDistance
from sections.solids.least_place import follow_least

# Places looked at on the faces along an opening; fewest that tell anything.
_BY_OPENING, _SEED, _LEAST = 3000, 23, 12
# mm; into the material, so that a ray does not meet where it starts; off
# seams and other openings, where more is cut or stands.
_INTO, _OFF = 0.01, 3.0
# The cosine below which a face of a rebate does not look out as its skin does.
_LOOKS_OUT = 0.9
# The cosine of 60 deg between an opening's side and the skin's normal: flatter, a return flange is no flange.
_STEEP = 0.5
# The inner edge of a bond flange is looked at within this part of its thickness off its middle: above that a pocket in
# its face is met.
_MIDDLE = 0.25
# Steps in which a corner radius is looked for.
_RADII = 24


@dataclass(frozen=True)
class _Side:
    """Places on the sides of one opening, as built: (n, 3), directions out of the material, depth below the skin, and
    directions out of the skin there."""

    points: np.ndarray
    normals: np.ndarray
    depth: np.ndarray
    outward: np.ndarray

    def where(self, chosen: np.ndarray) -> _Side:
        return _Side(self.points[chosen], self.normals[chosen], self.depth[chosen], self.outward[chosen])


def check_openings(part: BuiltSection, truth: BodyTruth, rules: CheckRules) -> tuple[list[Finding], list[Measure]]:
    """Return what is wrong with the edges of openings in a section, read by rays from their sides."""
    given = {opening.id: opening for opening in rules.settings.openings}
    findings, measures = [], []
    for number, (name, surface) in enumerate(zip(truth.opening_ids, truth.openings, strict=True)):
        asked: Opening = given[name]
        if (asked.rim is None and asked.glass is None) or not is_near(part, surface):
            continue
        side = _sides(part, truth, number)
        if len(side.points) < _LEAST:
            continue
        readings = _of_rim(part, side, asked.rim, truth, number, rules) if asked.rim else []
        if asked.glass:
            readings = _of_glass(part, side, surface, asked.glass, truth, rules)
        for code, value, span, where, text in readings:
            found, read = judge_span(code, f"{part.id}:{name}", value, span, "mm", place(where), text)
            findings, measures = findings + found, measures + read
    return findings, measures


def check_gap(
    part: BuiltSection, others: list[BuiltSection], name: str, truth: BodyTruth, rules: CheckRules
) -> tuple[list[Finding], list[Measure]]:
    """Return where a panel's gap to the sections around it is not as asked. name : the opening it lies in."""
    asked = next(opening for opening in rules.settings.openings if opening.id == name)
    numbers = [n for n, given in enumerate(truth.opening_ids) if given == name and is_near(part, truth.openings[n])]
    wall, limit = rules.settings.wall.thickness, asked.panel.gap

    def gap(side: _Side, sign: float) -> np.ndarray:
        wide = np.min([other.surface.unsigned(side.points) for other in others], axis=0)
        return np.where((side.depth > 0.2) & (side.depth < wall - 0.2), sign * wide, np.inf)

    slack = rules.settings.checks.fit + 2 * rules.settings.mesh.deviation
    findings, measures = [], []
    for what, sign in (("least", 1.0), ("most", -1.0)) if others else ():
        reading = partial(gap, sign=sign)
        found = [_least(part, truth, number, _sides(part, truth, number), reading) for number in numbers]
        value, where = min(found, key=lambda one: one[0], default=(np.inf, None))
        if not np.isfinite(value):
            continue
        value *= sign
        measures.append(Measure(f"panel-gap-{what}", part.id, value, "mm"))
        if abs(value - limit) > slack:
            text = f"the gap around the panel, where it is {what}"
            findings.append(Finding("panel-gap", "fault", part.id, value, limit, "mm", place(where), text))
    if not measures:
        text = "no side of it could be found, or nothing beside it"
        return [Finding("panel-gap", "unmeasured", part.id, None, limit, "mm", None, text)], []
    return findings, measures


def is_near(part: BuiltSection, surface: MeshDistance) -> bool:
    """Return whether an opening's bounds come within 1 mm of a section's."""
    return boxes_meet(part.mesh.bounds, surface.mesh.bounds, within=1.0)


def _sides(part: BuiltSection, truth: BodyTruth, own: int) -> _Side:
    """Return places on the built faces along an opening's sides, off seams and off all other openings."""
    mesh = part.mesh
    by = mesh.submesh(truth.openings[own].unsigned(mesh.triangles.mean(1)) < ON_SURFACE)
    return _on_side(part, truth, own, *_places_on(by))[0]


def _places_on(faces: Mesh) -> tuple[np.ndarray, np.ndarray]:
    """Return places on some faces, (n, 3) mm, spread evenly, and their faces' normals; none on no faces."""
    if not len(faces):
        return np.empty((0, 3)), np.empty((0, 3))
    points, number = sample_surface(faces, _BY_OPENING, _SEED)
    return points, faces.normals[number]


def _on_side(
    part: BuiltSection, truth: BodyTruth, own: int, points: np.ndarray, normals: np.ndarray
) -> tuple[_Side, np.ndarray]:
    """Return those of places on a section, (n, 3), that lie on an opening's sides, off seams and off all other
    openings, and which they are, (n,)."""
    ok = truth.openings[own].unsigned(points) < ON_SURFACE
    ok &= (part.to_seam(points) > _OFF) & truth.off_openings(points, _OFF, own)
    depth, _, outward = truth.skin.nearest_and_depth(points[ok])
    return _Side(points[ok], normals[ok], depth, outward), ok


def _least(
    part: BuiltSection, truth: BodyTruth, own: int, side: _Side, reading: Callable[[_Side], np.ndarray]
) -> tuple[float, np.ndarray | None]:
    """Return the least that is read on an opening's sides, and where: looked for about the least of the places given.

    reading : (n,) of the places of a side, infinite where nothing is read.
    """
    values = reading(side) if len(side.points) else np.empty(0)
    if np.isfinite(values).sum() < _LEAST:
        return np.inf, None

    def at(places: np.ndarray) -> np.ndarray:
        normals = part.mesh.normals[part.surface.nearest(places)[1]]
        near, which = _on_side(part, truth, own, places, normals)
        value = np.full(len(places), np.inf)
        if which.any():
            value[which] = reading(near)
        return value

    where, value = follow_least(part.surface, side.points, values, at, _SEED)
    return value, where


def _free(ends: np.ndarray, truth: BodyTruth, own: int) -> np.ndarray:
    """Return which ends of rays, (n,), lie neither on the skin nor on the side of another opening."""
    return (truth.skin.depth(ends) > 0.1) & truth.off_openings(ends, 0.1, own)


def _of_rim(part: BuiltSection, side: _Side, rim: Rim, truth: BodyTruth, number: int, rules: CheckRules):
    """Yield (code, measured, (least, most), where, text) of a return flange, off the seams' flanges and joints."""
    wall, slack = rules.settings.wall.thickness, rules.settings.checks.wall

    def clear(side: _Side) -> np.ndarray:
        return (part.to_seam(side.points) > rules.flange_reach + 1 + rim.thickness) & (side.depth < rim.height - 1)

    def thickness(side: _Side) -> np.ndarray:
        thick = _through(part, side.points, -side.normals)
        inner = np.isfinite(thick) & clear(side) & (side.depth > wall + 1)
        # Where the body ends beside it, or another opening cuts it, it ends there.
        ends = side.points[inner] - thick[inner, None] * side.normals[inner]
        # Where the skin slopes a ray may leave through the rim's inner edge.
        inner[inner] &= _free(ends, truth, number) & (truth.skin.depth(ends) < rim.height - 0.5)
        return np.where(inner, thick, np.inf)

    def height(side: _Side) -> np.ndarray:
        # Down along the opening's side; where that runs along the skin, flange and wall are one.
        steep = clear(side) & (np.abs(np.einsum("nj,nj->n", side.normals, side.outward)) < _STEEP)
        down = np.einsum("nj,nj->n", side.normals, side.outward)[:, None] * side.normals - side.outward
        down /= np.maximum(np.linalg.norm(down, axis=1, keepdims=True), 1e-9)
        middle = side.points - side.normals * rim.thickness / 2
        reach = _through(part, middle, down)
        ends = np.where(np.isfinite(reach), reach, 0.0)[:, None] * down + middle
        inner = steep & np.isfinite(reach) & _free(ends, truth, number)
        return np.where(inner, truth.skin.depth(ends), np.inf)

    for code, reading, least, text in (
        ("rim-thickness", thickness, rim.thickness - slack, "a return flange"),
        ("rim-height", height, rim.height - 2 * slack, "a return flange's inner edge below the skin"),
    ):
        value, where = _least(part, truth, number, side, reading)
        if where is not None:
            yield code, value, (least, np.inf), where, text


def _of_glass(
    part: BuiltSection, side: _Side, surface: MeshDistance, glass: Glass, truth: BodyTruth, rules: CheckRules
):
    """Yield (code, measured, (least, most), where, text) of a rebate for a pane."""
    slack, floor = rules.settings.checks.wall, glass.thickness + glass.bead
    seat, depth = seat_of(part, surface, truth)
    # Seams' flanges have holes and pockets there, which are deeper; nothing may stand higher anywhere.
    plain = np.where(part.to_seam(seat) > rules.flange_reach + 1, depth, -np.inf)
    for what, at in (("least", depth), ("most", plain)) if len(seat) and np.isfinite(plain).any() else ():
        at_place = int(at.argmin() if what == "least" else at.argmax())
        text = f"depth of the bond flange below the skin, {what}: pane and bead"
        yield f"glass-seat-{what}", float(at[at_place]), (floor - slack, floor + slack), seat[at_place], text
    clear = part.to_seam(side.points) > rules.flange_reach + glass.width
    # A face of the opening that runs along the skin is no side of the pane.
    steep = np.abs(np.einsum("nj,nj->n", side.normals, side.outward)) < _STEEP
    upper = side.where(clear & steep & (side.depth > 1.0) & (side.depth < floor - 1.0))
    if len(upper.points) < _LEAST:
        return
    lip, width = _lip_of(part, surface, glass, truth, rules)
    if not len(lip):
        # Its inner edge lies beside a seam, or in the next section; or there is none.
        lip = _without_lip(part, upper, glass)
        width = np.zeros(len(lip))
    if len(lip):
        at = int(width.argmin())
        least = glass.width - 2 * slack
        yield "glass-bond", float(width[at]), (least, np.inf), lip[at], "width of the bond flange"
    radii = np.linspace(0, glass.corner, _RADII + 1)[1:]
    # Beside the corner between two of its facets, a rounded corner reads as off by up to four times their deviation.
    faceted = 4 * rules.settings.mesh.deviation + ON_SURFACE
    fits = np.array([surface.depth(upper.points + r * upper.normals) > r - faceted for r in radii])
    least = np.where(fits.all(0), glass.corner, radii[np.argmin(fits, axis=0)]) if glass.corner else np.zeros(1)
    at = int(least.argmin())
    step = glass.corner / _RADII
    yield (
        "glass-corner",
        float(least[at]),
        (glass.corner - step / 2, np.inf),
        upper.points[at],
        "an opening's corner, tighter than the pane can be cut",
    )


def seat_of(part: BuiltSection, surface: MeshDistance, truth: BodyTruth) -> tuple[np.ndarray, np.ndarray]:
    """Return places on the face of a rebate that the bead lies on, (n, 3), and their depth below the skin, mm."""
    mesh = part.mesh
    by = mesh.submesh(surface.depth(mesh.triangles.mean(1)) > 0.2)
    points, normals = _places_on(by)
    depth, _, outward = truth.skin.nearest_and_depth(points)
    # The opening's solid reaches the skin opposite too; a seat looks out through its opening, a little below the skin.
    seen = np.einsum("nj,nj->n", normals, outward) > _LOOKS_OUT
    chosen = seen & (surface.depth(points) > 0.5) & (part.to_seam(points) > 0.5)
    return points[chosen], depth[chosen]


def _lip_of(
    part: BuiltSection, surface: MeshDistance, glass: Glass, truth: BodyTruth, rules: CheckRules
) -> tuple[np.ndarray, np.ndarray]:
    """Return places on the inner edge of a bond flange, (n, 3), off seams' flanges, and how far, mm, each is from the
    opening's side, the nearest one: 0 where that side itself is met below the bond flange's face."""
    floor = glass.thickness + glass.bead
    by = part.mesh.submesh(surface.depth(part.mesh.triangles.mean(1)) > -ON_SURFACE)
    points, normals = _places_on(by)
    width, _, off = surface.nearest_and_depth(points)
    depth, _, outward = truth.skin.nearest_and_depth(points)
    chosen = np.abs(depth - floor - glass.flange / 2) < _MIDDLE * glass.flange
    chosen &= np.einsum("nj,nj->n", normals, off) < -_LOOKS_OUT
    chosen &= np.abs(np.einsum("nj,nj->n", normals, outward)) < _STEEP
    chosen &= part.to_seam(points) > rules.flange_reach + glass.width
    return points[chosen], width[chosen]


def _without_lip(part: BuiltSection, upper: _Side, glass: Glass) -> np.ndarray:
    """Return places, (n, 3), below an opening's side where no plastic reaches into it, as a bond flange does."""
    middle = glass.thickness + glass.bead + glass.flange / 2
    below = upper.points - (middle - upper.depth)[:, None] * upper.outward + upper.normals
    return below[part.surface.depth(below) < 0]


def _through(part: BuiltSection, points: np.ndarray, ways: np.ndarray) -> np.ndarray:
    """Return how far, (n,) mm, the material reaches from places on its surface along directions into it."""
    return part.surface.first_hit(points + _INTO * ways, ways)[1] + _INTO
