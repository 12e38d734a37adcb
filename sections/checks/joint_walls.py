"""What is left around every hole and pocket, all the way down: other holes, of this seam or another, may be near."""

from __future__ import annotations

import numpy as np
import shapely

from sections.checks.built_parts import BuiltPair, BuiltSection, CheckRules
from sections.checks.finding import Finding, Measure
from sections.checks.fit_findings import judge_least
from sections.checks.pair_faces import PairFaces
from sections.features.feature import Probe, Side
from sections.plan.model import PlannedJoint

# Places around a hole, and levels between its mouth and the deepest of its probe, that are looked at.
_AROUND = np.linspace(0.0, 1.0, 24, endpoint=False)
_LEVELS = np.array([0.08, 0.4, 0.7, 0.97])
_SIDES: tuple[Side, ...] = ("minus", "plus")
# mm; rays start this far in the plastic, clear of the facets of the hole.
_IN = 0.15


def check_joint_walls(pair: BuiltPair, faces: PairFaces, rules: CheckRules) -> tuple[list[Finding], list[Measure]]:
    """Return joints whose hole or pocket leaves less plastic than a web around it, in either section."""
    least = rules.settings.flange.web - rules.settings.checks.fit
    findings, measures = [], []
    for joint in pair.joints:
        asked = {side: joint.joint.webs(side) for side in _SIDES}
        webs = {
            side: min(_web(pair.side(side), joint, *web, side) for web in own) for side, own in asked.items() if own
        }
        side = min(webs, key=lambda name: webs[name])
        text = f"plastic left around it within {pair.side(side).id}: another hole or a cut is too near"
        found, read = judge_least(joint, "joint-web", webs[side], least, text)
        findings += found
        measures += read
    return findings, measures


def _web(part: BuiltSection, joint: PlannedJoint, probe: Probe, reach: float | None, side: str) -> float:
    """Return the least plastic, mm, that rays outward from all around a joint's hole, and on from its end, run through;
    0 where there is none at all."""
    start, way = _rays(probe, side, reach)
    origin, direction = joint.frame.to_world(start), way @ joint.frame.rotation.T
    if (part.surface.depth(origin) <= 0).any():
        return 0.0
    return float(part.surface.first_hit(origin, direction)[1].min()) + _IN


def _rays(probe: Probe, side: str, reach: float | None) -> tuple[np.ndarray, np.ndarray]:
    """Return (start, unit direction), (n, 3) each in the joint's frame: level ones from around a hole, and where it
    ends `reach` mm deep, ones on from there."""
    sign = -1.0 if side == "minus" else 1.0
    middle = shapely.MultiPoint(probe.points[:, :2]).convex_hull
    ring = middle.buffer(probe.hole + _IN).exterior
    flat = shapely.get_coordinates(shapely.line_interpolate_point(ring, _AROUND, normalized=True))
    inner = shapely.get_coordinates(shapely.shortest_line(shapely.points(flat), middle))[1::2]
    level = sign * _LEVELS * np.abs(probe.points[:, 2]).max()
    start = np.column_stack([np.tile(flat, (len(level), 1)), np.repeat(level, len(flat))])
    out = (flat - inner) / np.linalg.norm(flat - inner, axis=1, keepdims=True)
    way = np.column_stack([np.tile(out, (len(level), 1)), np.zeros(len(start))])
    if reach is None:
        return start, way
    under = np.vstack(
        [middle.centroid.coords[0] + part * (inner - middle.centroid.coords[0]) for part in (0.0, 0.5, 1.0)]
    )
    ends = np.column_stack([under, np.full(len(under), sign * (reach + _IN))])
    return np.vstack([start, ends]), np.vstack([way, np.tile([0.0, 0.0, sign], (len(ends), 1))])
