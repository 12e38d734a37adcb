"""How thick is the wall: by rays and by inscribed balls, at many points of the section's skin."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sections.checks.built_parts import BodyTruth, BuiltSection, CheckRules
from sections.checks.finding import Finding, Measure, place
from sections.numbers.sampling import sample_surface
from sections.solids.least_place import follow_least

_SAMPLES, _SEED = 900, 21
_LEAST = 30
_ROUNDS = 25
# How many of the corners that lie the least deep are looked at, and how many of inner faces are looked above.
_LOOKED_AT, _SHALLOWEST = 2000, 60
# The cosine by which a built face looks the way the skin does; mm, so near a boss's hole a place is on it.
_ALIKE, _IN_HOLE = 0.7, 0.2
# mm; start of a ray below the skin, so that it does not meet the triangle it starts on.
_BELOW = 1e-3
# mm; a place this far off all seams lies on none.
_OFF_SEAM = 0.01


@dataclass(frozen=True)
class _Skin:
    """Points on a section's skin, (n, 3), directions into the wall, (n, 3), and whether each lies off every flange."""

    points: np.ndarray
    inward: np.ndarray
    plain: np.ndarray


@dataclass(frozen=True)
class _Thickness:
    """Thickness read at each point, (n,) mm, and whether it ends on an inner face (not a cut, nor the skin)."""

    value: np.ndarray
    inner: np.ndarray

    @property
    def read(self) -> np.ndarray:
        """The thickness, (n,) mm, infinite where it ends on no inner face."""
        return np.where(self.inner, self.value, np.inf)


def check_wall(part: BuiltSection, truth: BodyTruth, rules: CheckRules) -> tuple[list[Finding], list[Measure]]:
    """Return places where the wall is thinner than asked, and its least and median thickness.

    Seam faces, cuts of openings, the hole of a boss and the skin itself end a ray or stop a ball without being an inner
    face: what ends there is set apart. The body may be thinner than two walls; there the part is solid. The least is
    looked for about the least samples and above the corners that lie the least deep, so that it does not hang on where
    samples fell.
    """
    skin = _skin_points(part, truth, rules)
    if len(skin.points) < _LEAST:
        text = f"only {len(skin.points)} points of its skin could be found"
        return [Finding("wall-unmeasured", "unmeasured", part.id, None, None, "mm", None, text)], []
    findings, measures = [], []
    near = _above_the_shallowest(part, truth, rules)
    for reading in (_by_rays, _by_balls):
        found, read_off = _judge(part, truth, skin, near, reading, rules)
        findings += found
        measures += read_off
    return findings, measures


def _judge(
    part, truth, skin: _Skin, near: np.ndarray, reading, rules: CheckRules
) -> tuple[list[Finding], list[Measure]]:
    asked, short = rules.settings.wall.thickness, rules.settings.checks.wall
    name = "ray" if reading is _by_rays else "ball"
    measures, findings = [], []
    read = reading(part, truth, skin, rules)

    def at(places: np.ndarray) -> np.ndarray:
        found, which = _on_skin(part, truth, places, rules)
        value = np.full(len(places), np.inf)
        value[which] = reading(part, truth, found, rules).read
        return value

    if read.inner.any():
        starts, values = np.vstack([skin.points, near]), np.concatenate([read.read, at(near)])
        where, value = follow_least(part.surface, starts, values, at, _SEED)
        measures.append(Measure(f"wall-{name}-least", part.id, value, "mm"))
        if value < asked - short:
            text = f"thin wall by {name}"
            findings.append(Finding("wall-thin", "fault", part.id, value, asked - short, "mm", place(where), text))
    plain = read.inner & skin.plain
    if plain.sum() >= _LEAST:
        median = float(np.median(read.value[plain]))
        measures.append(Measure(f"wall-{name}-median", part.id, median, "mm"))
        if median > asked + short:
            text = f"thick wall by {name}, as a rule"
            findings.append(Finding("wall-thick", "fault", part.id, median, asked + short, "mm", None, text))
    return findings, measures


def _skin_points(part: BuiltSection, truth: BodyTruth, rules: CheckRules) -> _Skin:
    """Return points of the built surface that lie on the body's skin and look the way it does."""
    points, _ = sample_surface(part.mesh, 4 * _SAMPLES, seed=_SEED)
    skin, _ = _on_skin(part, truth, points, rules)
    return _Skin(skin.points[:_SAMPLES], skin.inward[:_SAMPLES], skin.plain[:_SAMPLES])


def _above_the_shallowest(part: BuiltSection, truth: BodyTruth, rules: CheckRules) -> np.ndarray:
    """Return the places, (n, 3), on the built skin above the corners of its inner faces that lie the least deep."""
    corners = part.mesh.vertices
    depth, foot, _ = truth.skin.nearest_and_depth(corners)
    shallow = np.argsort(depth, kind="stable")
    shallow = shallow[depth[shallow] > 2 * rules.settings.mesh.deviation][:_LOOKED_AT]
    inner = _on_inner_face(part, truth, corners[shallow], rules)
    return part.surface.nearest(foot[shallow[inner][:_SHALLOWEST]])[2]


def _on_skin(part: BuiltSection, truth: BodyTruth, points: np.ndarray, rules: CheckRules) -> tuple[_Skin, np.ndarray]:
    """Return those of the points on a built surface, (n, 3), that lie on the body's skin and look the way it does, and
    which they are, (n,) bool."""
    normals = part.mesh.normals[part.surface.nearest(points)[1]]
    depth, _, outward = truth.skin.nearest_and_depth(points)
    alike = np.einsum("ij,ij->i", normals, outward) > _ALIKE
    chosen = (np.abs(depth) < 2 * rules.settings.mesh.deviation) & alike
    plain = part.to_seam(points[chosen]) > rules.flange_reach + rules.settings.wall.thickness
    return _Skin(points[chosen], -normals[chosen], plain), chosen


def _by_rays(part: BuiltSection, truth: BodyTruth, skin: _Skin, rules: CheckRules) -> _Thickness:
    """Return the distance straight through the wall."""
    start = skin.points + _BELOW * skin.inward
    face, along = part.surface.first_hit(start, skin.inward)
    end = np.where(
        (face >= 0)[:, None], start + np.where(np.isfinite(along), along, 0)[:, None] * skin.inward, skin.points
    )
    return _Thickness(along + _BELOW, (face >= 0) & _on_inner_face(part, truth, end, rules))


def _by_balls(part: BuiltSection, truth: BodyTruth, skin: _Skin, rules: CheckRules) -> _Thickness:
    """Return the diameter of the largest ball that touches the skin at each point and lies in the material.

    Starting from the ray, the ball is shrunk until nothing of the surface lies inside it.
    """
    rays = _by_rays(part, truth, skin, rules)
    radius = np.where(np.isfinite(rays.value), rays.value, 50.0) / 2
    contact = skin.points + 2 * radius[:, None] * skin.inward
    open_ = np.arange(len(radius))
    for _ in range(_ROUNDS):
        centre = skin.points[open_] + radius[open_, None] * skin.inward[open_]
        distance, _, nearest = part.surface.nearest(centre)
        inside = distance < radius[open_] - 1e-4
        open_, nearest = open_[inside], nearest[inside]
        if not len(open_):
            break
        chord = nearest - skin.points[open_]
        height = np.einsum("ij,ij->i", chord, skin.inward[open_])
        smaller = np.einsum("ij,ij->i", chord, chord) / np.maximum(2 * height, 1e-9)
        radius[open_] = np.minimum(smaller, 0.999 * radius[open_])
        contact[open_] = nearest
    return _Thickness(2 * radius, rays.inner & _on_inner_face(part, truth, contact, rules))


def _on_inner_face(part: BuiltSection, truth: BodyTruth, points: np.ndarray, rules: CheckRules) -> np.ndarray:
    """Return which points of the surface, (n,), lie on an inner face: on no seam, no cut of an opening, no skin, not in
    the hole of a boss, which has a rule of its own."""
    slack = 2 * rules.settings.mesh.deviation
    inner = (part.to_seam(points) > _OFF_SEAM) & ~_in_hole(part, points)
    inner[inner] = truth.off_cuts(points[inner], slack)
    inner[inner] = truth.skin.are_off(points[inner], slack)
    return inner


def _in_hole(part: BuiltSection, points: np.ndarray) -> np.ndarray:
    """Return which points, (n,), lie on the surface of a boss's hole or slot."""
    inside = np.zeros(len(points), bool)
    for planned in part.bosses:
        boss, local = planned.boss, planned.frame.to_local(points)
        aside = np.hypot(np.maximum(np.abs(local[:, 0]) - boss.travel, 0.0), local[:, 1])
        inside |= (aside < boss.hole / 2 + _IN_HOLE) & (local[:, 2] > -boss.depth - _IN_HOLE)
    return inside
