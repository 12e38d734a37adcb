"""The plane a skin is most nearly its own mirror image in."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sections.numbers.frame import frame_on
from sections.numbers.mesh import Mesh
from sections.numbers.sampling import sample_surface
from sections.solids.distance import MeshDistance

_SAMPLES, _SEED = 6000, 41
# Part of the points that may have no counterpart (holes, what is on one side only) and do not draw the plane.
_WITHOUT = 0.15
# Few of the points bring a plane near to where it rests, all of them bring it there: (points, rounds at most, how
# little, as a part of the skin's reach, a step must move it by for it to rest). Where, as a part of the reach, 95 % of
# the few are no nearer to their mirror images than this, the skin is not symmetric there, and the rest is left.
_STAGES, _ODD = ((300, 40, 1e-4), (_SAMPLES, 30, 1e-9)), 0.02


@dataclass(frozen=True)
class SymmetricPlane:
    """The points p with normal . p = offset. normal : (3,) unit. offset : mm.

    most : what 95 per cent of the skin is nearer than to its mirror image, mm. furthest : mm.
    """

    normal: np.ndarray
    offset: float
    most: float
    furthest: float

    @property
    def axis(self) -> str:
        """The axis it stands nearest square to."""
        return "xyz"[int(np.abs(self.normal).argmax())]

    def __str__(self) -> str:
        normal = ", ".join(f"{c:.5f}" for c in self.normal)
        return (
            f"best plane of symmetry {self.offset:.2f} mm along ({normal}); mirrored in it, 95 % of the skin is within "
            f"{self.most:.2f} mm of itself, all within {self.furthest:.1f} mm"
        )

    def mirror(self, points: np.ndarray) -> np.ndarray:
        """Return the mirror images of (n, 3) points."""
        return points - 2 * (points @ self.normal - self.offset)[:, None] * self.normal


def symmetric_planes(mesh: Mesh) -> list[SymmetricPlane]:
    """Return the best plane near the middle plane of each axis, best first.

    Each is found by turns: points of the skin are mirrored, their nearest places on the skin taken, and the plane
    moved so that the mirrored points come as near as can be to the skin there (least squares of the distances to its
    tangent planes, the worst points left out), until it rests.
    """
    points, _ = sample_surface(mesh, _SAMPLES, _SEED)
    surface, middle = MeshDistance(mesh), mesh.bounds.mean(0)
    reach = float(np.linalg.norm(mesh.size)) / 2
    found = [_settled(points, surface, normal, middle, reach) for normal in np.eye(3)]
    return sorted(found, key=lambda one: one.most)


def asymmetry_map(mesh: Mesh, plane: SymmetricPlane) -> np.ndarray:
    """Return how far the mirror image of each corner, (n,) mm, lies from the skin."""
    return MeshDistance(mesh).unsigned(plane.mirror(mesh.vertices))


def _settled(points: np.ndarray, surface: MeshDistance, normal: np.ndarray, middle: np.ndarray, reach: float):
    offset = float(normal @ middle)
    best = _judged(points, surface, normal, offset)
    for count, rounds, least in _STAGES:
        for _ in range(rounds):
            normal, offset, moved = _step(points[:count], surface, normal, offset, middle, reach)
            if moved < least * reach:
                break
        if _judged(points[:count], surface, normal, offset).most > _ODD * reach:
            break
    settled = _judged(points, surface, normal, offset)
    return min((best, settled), key=lambda one: one.most)


def _step(
    points: np.ndarray, surface: MeshDistance, normal: np.ndarray, offset: float, middle: np.ndarray, reach: float
) -> tuple[np.ndarray, float, float]:
    """Return (normal, offset, how far it moved, mm) of the plane in which points come nearer to the skin than in the
    plane given."""
    off = points @ normal - offset
    mirrored = points - 2 * off[:, None] * normal
    distance, face, nearest = surface.nearest(mirrored)
    kept = distance <= np.quantile(distance, 1 - _WITHOUT)
    outward = surface.face_normals[face[kept]]
    frame = frame_on(np.zeros(3), normal)
    columns = [-2 * ((points[kept] - middle) @ u * (outward @ normal) + (off[kept]) * (outward @ u)) / reach
               for u in (np.array(frame.x), np.array(frame.y))]  # fmt: skip
    columns.append(2 * outward @ normal)
    gap = np.einsum("ij,ij->i", mirrored[kept] - nearest[kept], outward)
    step = np.linalg.lstsq(np.column_stack(columns), -gap, rcond=1e-9)[0]
    turned = normal + (step[0] * np.array(frame.x) + step[1] * np.array(frame.y)) / reach
    turned /= np.linalg.norm(turned)
    return turned, float(offset + step[2] + (turned - normal) @ middle), float(np.abs(step).max())


def _judged(points: np.ndarray, surface: MeshDistance, normal: np.ndarray, offset: float) -> SymmetricPlane:
    plane = SymmetricPlane(normal, offset, 0.0, 0.0)
    off = surface.unsigned(plane.mirror(points))
    return SymmetricPlane(normal, offset, float(np.percentile(off, 95)), float(off.max()))
