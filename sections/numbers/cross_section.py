"""What a cross-section carries: its area and its resistance to bending."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely


@dataclass(frozen=True)
class CrossSection:
    """area : mm2. modulus : mm3, the least section modulus: bending moment by the largest stress, whichever way it is
    bent. middle : the centroid, (2,) mm."""

    area: float
    modulus: float
    middle: np.ndarray

    @staticmethod
    def of(outline: shapely.Geometry) -> CrossSection:
        """Return that of a flat outline, holes left out, mm.

        With J the second moments about the centroid, a moment m bends with stress p . J^-1 m at p (m turned a quarter),
        so the largest over all directions of a unit moment is |J^-1 p| at the worst corner (any book on the strength
        of materials, from memory).
        """
        area, first, second = 0.0, np.zeros(2), np.zeros((2, 2))
        for ring, sign in _rings(outline):
            a, f, s = _moments(ring)
            area, first, second = area + sign * a, first + sign * f, second + sign * s
        middle = first / area
        second = second - area * np.outer(middle, middle)
        corners = shapely.get_coordinates(outline) - middle
        return CrossSection(area, 1.0 / np.linalg.norm(corners @ np.linalg.inv(second), axis=1).max(), middle)

    def stress(self, pull: float, moment: float) -> float:
        """Return the largest stress, MPa, under a pull through the centroid, N, and a moment any way, N mm."""
        return pull / self.area + moment / self.modulus


def _rings(outline: shapely.Geometry):
    for part in getattr(outline, "geoms", [outline]):
        yield np.array(part.exterior.coords), 1.0
        yield from ((np.array(hole.coords), -1.0) for hole in part.interiors)


def _moments(ring: np.ndarray) -> tuple[float, np.ndarray, np.ndarray]:
    """Return (area, first moments (2,), second moments (2, 2)) of a closed ring, by triangles from the origin."""
    p, q = ring[:-1], ring[1:]
    twice = p[:, 0] * q[:, 1] - p[:, 1] * q[:, 0]
    sign = np.sign(twice.sum())
    total = p + q
    # Over a triangle (0, p, q) the mean of x x^T is (p p^T + q q^T + (p + q)(p + q)^T) / 12.
    outer = np.einsum("ni,nj->nij", p, p) + np.einsum("ni,nj->nij", q, q) + np.einsum("ni,nj->nij", total, total)
    area = sign * twice / 2
    return area.sum(), (area[:, None] * total / 3).sum(0), (area[:, None, None] * outer / 12).sum(0)
