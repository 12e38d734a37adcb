"""A scan as a scanner gives it, made of a known body: evenly meshed, noisy, torn, turned, in a scale of its own."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import trimesh

from sections.numbers.mesh import Mesh, weld_exact

EDGE, NOISE = 9.0, 0.08
SCALE = 1.0173
TURN = trimesh.transformations.euler_matrix(0.12, -0.31, 0.55)[:3, :3]
SHIFT = np.array([812.0, -340.0, 1275.0])


@dataclass(frozen=True)
class Scan:
    """mesh : in the scanner's frame and scale. true : the same corners in the vehicle frame, without noise."""

    mesh: Mesh
    true: Mesh

    def place(self, point) -> list[float]:
        """Return where a place of the vehicle frame lies in the scan, rounded as a builder would type it."""
        return [round(float(c), 2) for c in to_scan(np.array([point]))[0]]


def to_scan(points: np.ndarray) -> np.ndarray:
    """Return places of the vehicle frame in the scanner's."""
    return (points @ TURN.T + SHIFT) / SCALE


def scan_of(skin: Mesh, keep, seed: int = 5, holes: int = 14, patches: int = 3) -> Scan:
    """Return a scan of the faces whose middle `keep` (points -> bool) takes."""
    rng = np.random.default_rng(seed)
    vertices, faces = trimesh.remesh.subdivide_to_size(skin.vertices, skin.faces, EDGE, max_iter=20)
    fine = weld_exact(Mesh(vertices, faces))
    middles = fine.triangles.mean(1)
    kept = keep(middles)
    whole = np.flatnonzero(kept)
    radii = np.concatenate([rng.uniform(8, 25, holes), rng.uniform(35, 60, patches)])
    for radius, face in zip(radii, rng.choice(whole, holes + patches, replace=False), strict=True):
        kept &= np.linalg.norm(middles - middles[face], axis=1) > radius
    true = fine.submesh(kept)
    made = trimesh.Trimesh(true.vertices, true.faces, process=False)
    noisy = to_scan(true.vertices + _noise(true, rng)[:, None] * made.vertex_normals)
    turned = true.faces.copy()
    middles = true.triangles.mean(1)
    for face in rng.choice(len(true), 10, replace=False):
        near = np.linalg.norm(middles - middles[face], axis=1) < rng.uniform(5, 40)
        turned[near] = turned[near][:, ::-1]
    dust = trimesh.creation.icosphere(1, 2.0)
    specks = [Mesh(dust.vertices + noisy[i] + rng.normal(0, 30, 3), dust.faces) for i in rng.choice(len(noisy), 6)]
    parts = [Mesh(noisy, turned), *specks]
    starts = np.cumsum([0, *(len(part.vertices) for part in parts)])
    mesh = Mesh(
        np.vstack([part.vertices for part in parts]),
        np.vstack([part.faces + start for part, start in zip(parts, starts, strict=False)]),
    )
    return Scan(mesh, true)


def _noise(mesh: Mesh, rng: np.random.Generator) -> np.ndarray:
    """Return noise for each corner, mm, of at most 3 NOISE: waves as a scanner's patches leave, and grain, less of it
    where corners lie so close that it would fold the skin."""
    waves = rng.normal(size=(40, 3))
    waves *= 2 * np.pi / rng.uniform(40, 300, (40, 1)) / np.linalg.norm(waves, axis=1, keepdims=True)
    slow = np.sin(mesh.vertices @ waves.T + rng.uniform(0, 2 * np.pi, 40)).sum(1) / np.sqrt(20)
    edges = trimesh.Trimesh(mesh.vertices, mesh.faces, process=False)
    shortest = np.full(len(mesh.vertices), np.inf)
    np.minimum.at(shortest, edges.edges_unique.reshape(-1), np.repeat(edges.edges_unique_length, 2))
    grain = rng.normal(size=len(mesh.vertices)) * np.minimum(NOISE, 0.04 * shortest)
    return np.clip(0.7 * NOISE * slow + grain, -3 * NOISE, 3 * NOISE)
