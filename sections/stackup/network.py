"""All ties of a body at once: where sections come to lie when every tie is a little wrong and all give evenly.

Least squares over the joint graph, as surveyors adjust a net of measured lengths: each tie weighs by 1 / off^2. At
worst, a linear programme. A chain of sections that hangs on nothing else comes out as the sums of any book; where ways
meet, they share their errors.

Errors added along the chain of fewest joints came to 376 mm for a body of 4 m: joints of a seam lie nearly on a line,
and nothing held a section against turning about it. Its neighbours do: all ties at once, 2 mm. At worst, the sum of
least squares' own weights is no useful bound (57 mm where 33 can be); the linear programme's is, with ties, sizes and
shrinkage in it together. By the simplex method it takes minutes for a body, by interior points seconds.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from scipy import sparse
from scipy.optimize import linprog

from sections.stackup.ties import Tie

# mm; turns are reckoned as what they move at this distance, so that they weigh as shifts do.
ARM = 100.0
# Interior points: seconds where the simplex method takes minutes for a whole body.
_SOLVER = "highs-ipm"


@dataclass(frozen=True)
class Solid:
    """A section as far as errors go. middle : (3,) mm. axes : (3, 3), columns its print axes. size : (3,) mm, along
    those. spread : mm, plus and minus, of each size. unsure : (3,), part of a length, plus and minus, along those, the
    same for all sections of one printer."""

    id: str
    middle: np.ndarray
    axes: np.ndarray
    size: np.ndarray
    spread: float
    unsure: np.ndarray
    printer: str = ""


@dataclass(frozen=True)
class Network:
    """Sections and the ties between them; every section hangs, over ties, on what holds it."""

    solids: tuple[Solid, ...]
    ties: tuple[Tie, ...]

    @cached_property
    def index(self) -> dict[str, int]:
        """The number of each section."""
        return {solid.id: number for number, solid in enumerate(self.solids)}

    @cached_property
    def sides(self) -> np.ndarray:
        """Numbers of the sections of each tie, (n, 2): minus, plus; -1 for what holds it."""
        index = self.index
        return np.array([(index.get(tie.minus, -1), index[tie.plus]) for tie in self.ties])

    @cached_property
    def places(self) -> np.ndarray:
        """(n, 3) mm."""
        return np.array([tie.place for tie in self.ties])

    @cached_property
    def kept(self) -> np.ndarray:
        """The directions the ties keep, (n, 3)."""
        return np.array([tie.way for tie in self.ties])

    @cached_property
    def off(self) -> np.ndarray:
        """By what each tie may be wrong, (n,) mm."""
        return np.array([tie.off for tie in self.ties])

    @cached_property
    def middles(self) -> np.ndarray:
        """(m, 3) mm."""
        return np.array([solid.middle for solid in self.solids])

    @cached_property
    def rows(self) -> np.ndarray:
        """What each tie feels of small motions of all sections: (n, 6 m)."""
        made = np.zeros((len(self.ties), 6 * len(self.solids)))
        for side, sign in ((0, -1.0), (1, 1.0)):
            here = np.flatnonzero(self.sides[:, side] >= 0)
            which = self.sides[here, side]
            felt = sign * self.felt(which, self.places[here], self.kept[here])
            for column in range(6):
                made[here, 6 * which + column] += felt[:, column]
        return made

    def felt(self, which: np.ndarray, places: np.ndarray, ways: np.ndarray) -> np.ndarray:
        """Return how places on sections move along directions for each shift and turn of the section, (n, 6)."""
        return np.hstack([ways, np.cross(places - self.middles[which], ways) / ARM])

    @cached_property
    def answer(self) -> np.ndarray:
        """How all sections answer to each tie's error: (6 m, n). Raises ValueError where a section can still move."""
        left, values, right = np.linalg.svd(self.rows / self.off[:, None], full_matrices=False)
        if len(values) < self.rows.shape[1] or values[-1] < 1e-9 * values[0]:
            raise ValueError("a section hangs on nothing")
        return (right.T / values) @ left.T / self.off

    def moved(self, section: str, place: np.ndarray, along: np.ndarray) -> np.ndarray:
        """Return how a place (3,) of a section moves along a direction (3,) for each motion of all sections, (6 m,)."""
        number = self.index[section]
        made = np.zeros(6 * len(self.solids))
        made[6 * number : 6 * number + 6] = self.felt(np.array([number]), place[None], along[None])[0]
        return made

    def usual(self, moved: np.ndarray) -> np.ndarray:
        """Return what each tie's error adds to a motion (6 m,) when all ties give evenly, (n,)."""
        return moved @ self.answer

    def tightest(self, moved: np.ndarray, grown: np.ndarray) -> np.ndarray:
        """Return weights (n,) of the ties by which errors cannot add more to a motion than they can at all.

        moved : (6 m,), of a place. grown : (3 m,), how the place itself moves for each part of growth of each section
        along its three axes. The most it can move with no tie parted by more than `off`, no size and no shrinkage off
        by more than it may be, is a linear programme; its duals are the weights, those of a chain where there is but
        one. Raises ValueError where it has no end.
        """
        both, limits = self._programme
        own = np.r_[grown, grown @ self.shared]
        free = [(None, None)] * self.rows.shape[1] + [(-limit, limit) for limit in limits]
        solved = linprog(-np.r_[moved, own], A_ub=both, b_ub=np.r_[self.off, self.off], bounds=free, method=_SOLVER)
        if solved.status != 0:
            raise ValueError("a section hangs on nothing")
        one, two = np.split(-solved.ineqlin.marginals, 2)
        return one - two

    @cached_property
    def _programme(self) -> tuple[sparse.csr_matrix, np.ndarray]:
        """What ties feel, both ways, of motions, of every section's size along its axes, and of every printer's
        shrinkage along its own, (2 n, 6 m + k); and what each of the last may be, (k,)."""
        size = np.array([solid.size for solid in self.solids]).ravel()
        spread = np.repeat([solid.spread for solid in self.solids], 3)
        whole = np.hstack([self.rows, self.growths, self.growths @ self.shared])
        limits = np.r_[spread / size, np.ones(self.shared.shape[1])]
        return sparse.csr_matrix(np.vstack([whole, -whole])), limits

    @cached_property
    def growths(self) -> np.ndarray:
        """What each tie feels of each section growing by one part along each of its axes, (n, 3 m) mm."""
        made = np.zeros((len(self.ties), 3 * len(self.solids)))
        axes = np.array([solid.axes for solid in self.solids])
        for side, sign in ((0, -1.0), (1, 1.0)):
            here = np.flatnonzero(self.sides[:, side] >= 0)
            which = self.sides[here, side]
            # Along each axis: how far out the place lies, and how much of that way the tie keeps.
            out = np.einsum("ni,nik->nk", self.places[here] - self.middles[which], axes[which])
            kept = np.einsum("ni,nik->nk", self.kept[here], axes[which])
            for axis in range(3):
                made[here, 3 * which + axis] += sign * (out * kept)[:, axis]
        return made

    @cached_property
    def printers(self) -> list[str]:
        """The printers the sections are made on."""
        return sorted({solid.printer for solid in self.solids})

    @cached_property
    def shared(self) -> np.ndarray:
        """How much each section's axes grow at most, (3 m, 3 p), by each printer's shrinkage in x, y and height."""
        made = np.zeros((3 * len(self.solids), 3 * len(self.printers)))
        for number, solid in enumerate(self.solids):
            first = 3 * self.printers.index(solid.printer)
            for axis in range(3):
                made[3 * number + axis, first + axis] = solid.unsure[axis]
        return made
