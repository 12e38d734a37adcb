"""How far a step moved the skin: measured between the mesh before and the mesh after, whatever the step says."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sections.numbers.mesh import Mesh
from sections.solids.distance import MeshDistance

# Corners and middles of faces measured each way, at most.
_MOST = 400_000


@dataclass(frozen=True)
class Movement:
    """The largest distance between two skins, mm, where, and at how many points it was measured."""

    most: float
    at: np.ndarray
    points: int


def movement(before: Mesh, after: Mesh, *, added: np.ndarray | None = None, lost: np.ndarray | None = None) -> Movement:
    """Return how far two skins are apart, measured from each to the other.

    added : (m,) faces of `after` that are new. lost : faces of `before` that were taken out: left out of the measure,
    and for the caller to report. (Two-sided distance at corners and middles of faces, by libigl.)
    """
    found = [_to(after, added, before), _to(before, lost, after)]
    worst = max(found, key=lambda one: one.most)
    return Movement(worst.most, worst.at, sum(one.points for one in found))


def _to(mesh: Mesh, but: np.ndarray | None, other: Mesh) -> Movement:
    part = mesh if but is None else mesh.submesh(~but)
    points = np.vstack([part.vertices, part.triangles.mean(1)])
    if not len(points) or not len(other):
        return Movement(0.0, np.zeros(3), 0)
    if len(points) > _MOST:
        points = points[np.random.default_rng(5).choice(len(points), _MOST, replace=False)]
    distance = MeshDistance(other).unsigned(points)
    worst = int(distance.argmax())
    return Movement(float(distance[worst]), points[worst], len(points))
