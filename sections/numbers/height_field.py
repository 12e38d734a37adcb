"""A smooth surface as heights over a plane: a cubic tensor-product spline fitted to points.

Penalised least squares (Eilers and Marx, Statistical Science 11(2), 1996: B-splines with a penalty on second
differences of their coefficients; from memory): where there are no points, the surface runs on straight.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy import sparse
from scipy.interpolate import BSpline, NdBSpline
from scipy.sparse.linalg import spsolve

from sections.numbers.frame import Frame

DEGREE = 3
# Weight of the penalty, as a part of the number of points that fall on one coefficient.
_STIFFNESS = 1e-5


@dataclass(frozen=True)
class HeightField:
    """Heights over the x, y of a frame.

    frame : z is the side the heights grow to. knots : of x and of y, clamped, mm. heights : (nx, ny) coefficients, mm.
    """

    frame: Frame
    knots: tuple[np.ndarray, np.ndarray]
    heights: np.ndarray

    def above(self, points: np.ndarray) -> np.ndarray:
        """Return how far (n, 3) points lie above the surface along the frame's z, (n,) mm; beyond its edge, above
        the height it has there."""
        local = self.frame.to_local(points)
        flat = [np.clip(local[:, axis], knots[0], knots[-1]) for axis, knots in enumerate(self.knots)]
        return local[:, 2] - NdBSpline(self.knots, self.heights, DEGREE)(np.column_stack(flat))

    def poles(self) -> np.ndarray:
        """Return the control points of the surface, (nx, ny, 3) mm: in the plane they lie at the Greville abscissae."""
        at = np.meshgrid(*(_greville(knots) for knots in self.knots), indexing="ij")
        local = np.stack([*at, self.heights], -1)
        return self.frame.to_world(local.reshape(-1, 3)).reshape(local.shape)


def fit_height_field(points: np.ndarray, frame: Frame, box: np.ndarray, step: float) -> HeightField:
    """Return the height field through (n, 3) points, least squares.

    box : (2, 2) mm, where it ends in the frame's x and y. step : mm, about how far apart its knots lie.
    """
    local = frame.to_local(points)
    local = local[((local[:, :2] >= box[0]) & (local[:, :2] <= box[1])).all(1)]
    knots = tuple(_knots(low, high, step) for low, high in box.T)
    bases = [BSpline.design_matrix(local[:, axis], knots[axis], DEGREE).tocsr() for axis in (0, 1)]
    shape = tuple(basis.shape[1] for basis in bases)
    design = _product(*bases)
    penalty = _STIFFNESS * len(local) / design.shape[1] * _bending(knots)
    heights = spsolve((design.T @ design + penalty).tocsc(), design.T @ local[:, 2])
    return HeightField(frame, knots, heights.reshape(shape))


def _knots(low: float, high: float, step: float) -> np.ndarray:
    inner = np.linspace(low, high, max(int(np.ceil((high - low) / step)), 1) + 1)
    return np.concatenate([np.full(DEGREE, low), inner, np.full(DEGREE, high)])


def _product(one: sparse.csr_matrix, two: sparse.csr_matrix) -> sparse.csr_matrix:
    """Return the row-wise product of two matrices with DEGREE + 1 entries a row."""
    wide, count = DEGREE + 1, one.shape[0]
    columns = one.indices.reshape(-1, wide)[:, :, None] * two.shape[1] + two.indices.reshape(-1, wide)[:, None]
    values = one.data.reshape(-1, wide)[:, :, None] * two.data.reshape(-1, wide)[:, None]
    starts = np.arange(0, count * wide**2 + 1, wide**2)
    return sparse.csr_matrix((values.reshape(-1), columns.reshape(-1), starts), (count, one.shape[1] * two.shape[1]))


def _greville(knots: np.ndarray) -> np.ndarray:
    """Return where each coefficient sits: a straight line's coefficients lie on it there."""
    return np.array([knots[i + 1 : i + 1 + DEGREE].mean() for i in range(len(knots) - DEGREE - 1)])


def _bending(knots: tuple[np.ndarray, np.ndarray]) -> sparse.csr_matrix:
    """Return the penalty on slopes that change along x, along y and across; a plane has none."""
    one, two = (sparse.identity(len(_greville(line))) for line in knots)
    (first_x, second_x), (first_y, second_y) = (_differences(_greville(line)) for line in knots)
    parts = [sparse.kron(second_x, two), sparse.kron(one, second_y), sparse.kron(first_x, first_y)]
    return sum(part.T @ part for part in parts)


def _differences(at: np.ndarray) -> tuple[sparse.csr_matrix, sparse.csr_matrix]:
    """Return matrices that give the first and the second divided differences of values at places `at`, in units of
    their mean distance."""
    gap = np.diff(at) / np.diff(at).mean()
    first = sparse.diags_array([-1 / gap, 1 / gap], offsets=(0, 1), shape=(len(gap), len(at)))
    change = sparse.diags_array([-1.0, 1.0], offsets=(0, 1), shape=(len(gap) - 1, len(gap)))
    return first.tocsr(), (change @ first).tocsr()
