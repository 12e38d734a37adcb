"""The body as it came: places on its source's own surface that are seen from outside, whatever repair made of it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sections.numbers.even_directions import even_directions
from sections.numbers.mesh import Mesh
from sections.numbers.sampling import sample_surface
from sections.solids.distance import MeshDistance

# One place for about this much surface, mm2, and how many there are at most.
_AREA_PER_PLACE, _FEWEST, _MOST = 200.0, 10_000, 60_000
# A place is seen where this share of the directions on one side of its face goes out freely: through a narrow gap what
# lies behind is hardly seen.
_DIRECTIONS, _SEEN = 48, 0.125
# mm; rays begin so far off the face: on a face laid twice they would meet the other one.
_OFF = 0.05
# mm; a place so near to what is unwanted is on it: no corner of that was moved by more than a tenth as a rule.
_ON = 0.1


@dataclass(frozen=True)
class AsGiven:
    """Places, (n, 3) mm in the vehicle frame, that are seen from outside on the body as it came, before any repair.
    area_mm2 : of surface that each stands for. allowed : mm; what repair was allowed to move them."""

    points: np.ndarray
    area_mm2: float
    allowed: float


def as_given(mesh: Mesh, allowed: float, unwanted: Mesh | None = None) -> AsGiven:
    """Return the places of a mesh that are seen from outside it. allowed : mm; what repair may move them. unwanted :
    what of it the body is not to have."""
    area = float(mesh.areas_mm2.sum())
    count = int(np.clip(area / _AREA_PER_PLACE, _FEWEST, _MOST))
    points, faces = sample_surface(mesh, count, seed=13)
    points = points[_seen(mesh, points, faces)]
    return AsGiven(points if unwanted is None else off_unwanted(points, unwanted), area / count, allowed)


def off_unwanted(points: np.ndarray, unwanted: Mesh) -> np.ndarray:
    """Return those of (n, 3) points, mm, that do not lie on what the body is not to have."""
    return points[MeshDistance(unwanted).unsigned(points) > _ON]


def _seen(mesh: Mesh, points: np.ndarray, faces: np.ndarray) -> np.ndarray:
    """Return which places, (n,), on faces of a mesh, (n,), are seen from outside, from either side of their face."""
    surface, normals = MeshDistance(mesh), mesh.normals[faces]
    sides, free = np.zeros((2, len(points))), np.zeros((2, len(points)))
    rows = np.arange(len(points))
    for direction in even_directions(_DIRECTIONS):
        along = normals @ direction
        side = (along < 0).astype(int)
        starts = points + np.where(along < 0, -_OFF, _OFF)[:, None] * normals
        clear = surface.is_clear(starts, np.broadcast_to(direction, starts.shape), np.inf)
        sides[side, rows] += 1
        free[side, rows] += clear
    return (free >= _SEEN * np.maximum(sides, 1)).any(0)
