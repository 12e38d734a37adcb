"""Random points on triangles, with a fixed seed."""

from __future__ import annotations

import numpy as np

from sections.numbers.mesh import Mesh


def sample_surface(mesh: Mesh, count: int, seed: int) -> tuple[np.ndarray, np.ndarray]:
    """Return (points (count, 3) mm, face index (count,)) spread evenly over the area of `mesh`."""
    faces, weights = sample_barycentric(mesh, count, seed)
    return np.einsum("nk,nkj->nj", weights, mesh.triangles[faces]), faces


def points_along(ends: np.ndarray, spacing: float) -> tuple[np.ndarray, np.ndarray]:
    """Return (points (k, 3) mm evenly along lines given by their ends (n, 2, 3), no further apart than `spacing`; which
    line each lies on (k,))."""
    lengths = np.linalg.norm(ends[:, 1] - ends[:, 0], axis=1)
    count = np.ceil(lengths / spacing).astype(int).clip(1, None)
    which = np.repeat(np.arange(len(ends)), count)
    part = (np.arange(len(which)) - np.repeat(np.cumsum(count) - count, count) + 0.5) / count[which]
    return ends[which, 0] + part[:, None] * (ends[which, 1] - ends[which, 0]), which


def sample_barycentric(mesh: Mesh, count: int, seed: int) -> tuple[np.ndarray, np.ndarray]:
    """Return (face index (count,), corner weights (count, 3)), evenly spread over the area of `mesh`."""
    rng = np.random.default_rng(seed)
    areas = mesh.areas_mm2
    faces = rng.choice(len(mesh), count, p=areas / areas.sum())
    return faces, random_weights(rng, count)


def random_weights(rng: np.random.Generator, count: int) -> np.ndarray:
    """Return corner weights (count, 3) that spread points evenly over a triangle."""
    root, along = np.sqrt(rng.random(count)), rng.random(count)
    return np.column_stack([1 - root, root * (1 - along), root * along])
