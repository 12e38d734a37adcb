"""Keys: the gap per side between the key and its pockets, as built."""

from __future__ import annotations

import numpy as np

from sections.checks.built_parts import BuiltPair, CheckRules
from sections.checks.finding import Finding, Measure, place
from sections.checks.fit_findings import judge_fit
from sections.checks.pair_faces import PairFaces
from sections.numbers.mesh import Mesh
from sections.numbers.sampling import sample_surface
from sections.plan.model import PlannedJoint
from sections.solids.distance import MeshDistance

_SAMPLES = 160
# A face whose normal leans more than this from the key's axis is a side, not an end.
_SIDE = 0.9
# mm; near its foot and its end a tongue's side is not read: the gap there is to an edge.
_OFF_EDGE = 0.4


def check_keys(pair: BuiltPair, faces: PairFaces, rules: CheckRules) -> tuple[list[Finding], list[Measure]]:
    """Return a finding for every key whose gap per side is not what was asked, or that is not there."""
    findings, measures = [], []
    keys = [joint for joint in pair.joints if joint.joint.kind == "key"]
    if not keys and faces.stands_alone(rules.settings):
        findings.append(_none(pair, faces, rules))
    for joint in keys:
        for side, sign in (("minus", -1.0), ("plus", 1.0)):
            if side == "minus" and not joint.joint.loose:
                continue  # the tongue is part of this section
            found, read = _one(joint, pair, side, sign, rules)
            findings += found
            measures += read
    return findings, measures


def _none(pair: BuiltPair, faces: PairFaces, rules: CheckRules) -> Finding:
    """Return what there is to say of a seam without a key: little where it is bonded for want of room, and dowels
    locate it."""
    where = place(faces.frame.to_world(np.array([[*faces.shared.representative_point().coords[0], 0.0]]))[0])
    if rules.bolted(pair.given) == "room" and any(joint.joint.locates for joint in pair.joints):
        text = "no key finds room across this seam: its dowels locate it, the bond must carry what slides"
        return Finding("unkeyed", "note", pair.id, 0.0, 1.0, "keys", where, text)
    return Finding("key-none", "fault", pair.id, 0.0, 1.0, "keys", where, "no key lies across this seam")


def _one(joint: PlannedJoint, pair: BuiltPair, side: str, sign: float, rules: CheckRules):
    key = joint.joint
    body = rules.loose.get("key") if key.loose else joint.frame.unplace(pair.minus.mesh)
    if body is None:
        text = "the loose key's file is not there to be measured"
        return [Finding("key-unmeasured", "unmeasured", joint.id, None, None, "mm", None, text)], []
    points = _side_points(body, key, sign)
    if not len(points):
        text = f"no key stands into {pair.side(side).id}"
        return [Finding("key-missing", "fault", joint.id, None, None, "mm", place(joint.frame.origin), text)], []
    gap = _gaps(pair.side(side).surface, joint, points)
    least, middle = float(gap.min()), float(np.median(gap))
    slack = rules.settings.checks.fit
    found, read = judge_fit(joint, f"key-clearance-{side}", middle, key.fit, slack)
    if not found and least < key.fit - 2 * slack:
        found, more = judge_fit(joint, f"key-clearance-{side}", least, key.fit, 2 * slack)
        read += more
    return found, read


def _side_points(body: Mesh, key, sign: float) -> np.ndarray:
    """Return points (n, 3), joint frame, on the sides of the key (or tongue) that stand into one section."""
    centre = body.triangles.mean(1)
    box = np.array([key.length / 2 + 0.5, key.width / 2 + 0.5])
    near = (np.abs(body.triangles[:, :, :2]) < box).all((1, 2))
    height = sign * centre[:, 2]
    side = near & (np.abs(body.normals[:, 2]) < _SIDE) & (height > 0) & (height < key.height + 0.5)
    if not side.any():
        return np.empty((0, 3))
    points, _ = sample_surface(body.submesh(side), _SAMPLES, seed=31)
    high = sign * points[:, 2]
    return points[(high > _OFF_EDGE) & (high < key.height - _OFF_EDGE)]


def _gaps(surface: MeshDistance, joint: PlannedJoint, points: np.ndarray) -> np.ndarray:
    """Return the distance, (n,) mm, from points of the key to the section; negative where it is in the plastic."""
    return -surface.depth(joint.frame.to_world(points))
