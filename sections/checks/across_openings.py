"""What is left standing across an opening, because it is not cut as deep as a flange is high."""

from __future__ import annotations

import numpy as np

from sections.checks.built_parts import BodyTruth, BuiltSection, CheckRules
from sections.checks.finding import Finding, Measure, place
from sections.checks.opening import is_near
from sections.numbers.sampling import sample_surface
from sections.numbers.tolerances import ON_SURFACE
from sections.solids.distance import MeshDistance

# mm2 a sample stands for.
_EACH, _SEED = 1.0, 43
# The cosine by which the floor of a cut looks out as the skin above it does.
_LOOKS_OUT = 0.7
# mm2; so much floor is no rounding. mm, by which the floor of a rebate may lie deeper or less deep.
_LEAST, _AS_REBATE = 6.0, 1.0


def check_across(part: BuiltSection, truth: BodyTruth, rules: CheckRules) -> tuple[list[Finding], list[Measure]]:
    """Return where an opening ends in a floor in a section: wall it does not go through, or a flange behind it.

    The floor of a rebate for a pane is asked for, and left aside.
    """
    findings, measures = [], []
    for name, floor, depth in floors(part, truth, rules):
        area = float(len(floor) * _EACH)
        measures.append(Measure("floor-of-opening", f"{part.id}:{name}", area, "mm2"))
        if area >= _LEAST:
            text, at = _what_stands(part, rules, floor, depth)
            low, high = f"{depth.min():.1f}", f"{depth.max():.1f}"
            deep = low if low == high else f"{low} to {high}"
            text = f"opening {name} ends {deep} mm below the skin: {text}"
            findings.append(Finding("across-opening", "fault", part.id, area, _LEAST, "mm2", place(floor[at]), text))
    return findings, measures


def _what_stands(part: BuiltSection, rules: CheckRules, floor: np.ndarray, depth: np.ndarray) -> tuple[str, int]:
    """Return (in words what an opening is not cut through, and how deep it has to be; the number of a place on it)."""
    gaps = {seam: np.abs(plane.distance(floor)) for seam, plane in part.planes.items()}
    at_seam = np.zeros(len(floor), bool)
    for gap in gaps.values():
        at_seam |= gap < rules.flange_reach
    wall = rules.settings.wall.thickness
    if (~at_seam & (depth < wall)).any():
        deeper = f"; where a seam crosses, deeper than its flange of {rules.settings.flange.height:g}" if gaps else ""
        return f"the wall of {wall:g} mm is not cut through; cut it deeper than that{deeper}", int(depth.argmin())
    seam = min(gaps, key=lambda name: gaps[name].min(), default="")
    if not seam:
        return "material stands across it; cut it deeper", 0
    height = rules.settings.flange.height
    return f"the flange of seam {seam} stands across it; cut it deeper than {height:g} mm", int(gaps[seam].argmin())


def stands_across(part: BuiltSection, truth: BodyTruth, rules: CheckRules) -> list[str]:
    """Return the openings that something of a section stands across."""
    return [name for name, floor, _ in floors(part, truth, rules) if len(floor) * _EACH >= _LEAST]


def floors(part: BuiltSection, truth: BodyTruth, rules: CheckRules) -> list[tuple[str, np.ndarray, np.ndarray]]:
    """Return for each opening that comes near a section its id, places, (n, 3) mm, on the floor it ends in, and their
    depths below the skin, (n,) mm."""
    asked = {opening.id: opening for opening in rules.settings.openings}
    found = []
    for number, (name, surface) in enumerate(zip(truth.opening_ids, truth.openings, strict=True)):
        if part.planned.panel == name or not is_near(part, surface):
            continue
        floor, depth = _floor(part, surface, truth, number)
        glass = asked[name].glass
        if glass is not None:
            other = np.abs(depth - glass.thickness - glass.bead) > _AS_REBATE
            floor, depth = floor[other], depth[other]
        found.append((name, floor, depth))
    return found


def _floor(part: BuiltSection, surface: MeshDistance, truth: BodyTruth, own: int) -> tuple[np.ndarray, np.ndarray]:
    """Return places, (n, 3), each for so much area, on built faces that an opening's surface made and that look out as
    the skin does, with their depths below the skin, (n,) mm."""
    mesh = part.mesh
    by = mesh.submesh(surface.unsigned(mesh.triangles.mean(1)) < ON_SURFACE)
    if not len(by):
        return np.empty((0, 3)), np.empty(0)
    points, faces = sample_surface(by, max(int(by.areas_mm2.sum() / _EACH), 1), _SEED)
    depth, _, outward = truth.skin.nearest_and_depth(points)
    ok = np.einsum("ij,ij->i", by.normals[faces], outward) > _LOOKS_OUT
    ok &= (surface.unsigned(points) < ON_SURFACE) & (depth > ON_SURFACE) & truth.off_openings(points, ON_SURFACE, own)
    return points[ok], depth[ok]
