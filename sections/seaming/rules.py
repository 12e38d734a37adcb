"""What a seam is judged by."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from scipy.spatial import cKDTree

from sections.numbers.frame import Plane
from sections.seaming.bed_fit import excess, least_width
from sections.seaming.curvature import Curvatures
from sections.seaming.hanging import hanging
from sections.seaming.keeping_off import KeepingOff
from sections.seaming.shell import Depths, Shell, Split, grown_together, nearest_of
from sections.seaming.wall_support import cuts_off_wall, lines_without_room
from sections.settings.joints import SeamWeights

# mm; a seam this near to a rim or a sharp edge runs along it, where it does for longer than it takes to cross.
_ALONG = 15.0
# A seam less steep than this part of the angle asked, where hardly a joint finds room, costs so many times as much.
_VERY, _TIMES = 0.7, 8
# A seam that leans by 60 deg and passes a place at its radius crosses the skin there so many times as far off.
_LEANING = 2.0
# A section too slim to be more than flange counts so many times as a narrow one.
_SLIM = 4.0
# What a line of seam without room for joints costs, in sections.
_WITHOUT_ROOM = 2.0
# Skin whose normal has this part along a plane's own runs beside it.
_BESIDE = 0.9


@dataclass(frozen=True)
class SeamRules:
    """rooms : (k, 3) mm, usable room of every printer. depths : of what stands behind the skin. shortest : mm, no slice
    is shorter, and slimmer skin has nothing but flange behind it. beside : mm, skin that runs along a seam so near has
    nothing else. angle : deg, between seam and skin, least wanted. width : mm, of a section, least wanted. run : mm,
    the shortest piece of seam two sections can share and be joined. clear : (k, 5) places, mm, the radius about each
    that no seam may come into, and how deep below the skin it lies. edges : points on rims and sharp edges, None
    without any. bends : of the skin, None to leave them aside. keeping : what seams keep off, None without any."""

    rooms: np.ndarray
    depths: Depths
    shortest: float
    beside: float
    angle: float
    width: float
    run: float
    clear: np.ndarray
    edges: cKDTree | None
    bends: Curvatures | None
    weights: SeamWeights
    keeping: KeepingOff | None = None

    @cached_property
    def bed(self) -> float:
        """The least width of the largest room, mm: what lengths are reckoned in."""
        return float(self.rooms.min(1).max())

    @cached_property
    def reach(self) -> float:
        """The longest anything that fits can be, mm."""
        return float(np.linalg.norm(self.rooms, axis=1).max())

    def least(self, length: float) -> int:
        """Return the fewest sections that what does not fit as it is can be cut into, when it is so long, mm."""
        return max(2, int(np.ceil(length / self.reach)))

    def fitting(self, shell: Shell) -> float | None:
        """Return what a shell costs as it is, in sections; None when it does not fit."""
        groups = self.fitted(shell)
        return None if groups is None else self.worth(groups)

    def fitted(self, shell: Shell) -> list[list[Shell]] | None:
        """Return the sections a shell makes as it is, each its pieces; None when one does not fit.

        Pieces as near to one another as a flange is high are one: what stands behind them meets.
        """
        groups = self.groups(shell)
        if any(excess(points_of(together), self.rooms) > 0 for together in groups):
            return None
        for bound in shell.bounds:
            meant = shell.points if bound[7] else points_of(groups[nearest_of(groups, bound[:3])])
            if np.ptp(meant @ bound[3:6]) > bound[6]:
                return None
        return groups

    def worth(self, groups: list[list[Shell]]) -> float:
        """Return what sections cost, each given as its pieces: one, and more where they are narrow or hang over."""
        return sum(1.0 + self._faults(together) for together in groups)

    def _faults(self, together: list[Shell]) -> float:
        """Return what is wrong with one section, given as its pieces, in sections."""
        cost = self.weights.narrow * sum(self._narrow(piece) for piece in together)
        if self.weights.hanging:
            cost += self.weights.hanging * hanging(together) / self.bed**2
        return cost

    def groups(self, shell: Shell) -> list[list[Shell]]:
        """Return the pieces of a shell, together those that make one section."""
        return grown_together(shell.pieces(), self.depths.flange + self.depths.wall)

    def _narrow(self, piece: Shell) -> float:
        """Return how often a piece counts as narrow: 0 where it is wide enough, more where it is all flange."""
        # A box so wide at most in two of its axes has less surface, and casts less shadow, than a piece that is plainly
        # wider.
        longest = float(np.linalg.norm(np.ptp(piece.vertices, axis=0)))
        if np.linalg.norm(piece.area_vectors.sum(0)) > self.width * np.hypot(np.sqrt(2) * longest, self.width):
            return 0.0
        if piece.area >= 4 * self.width * (longest + self.width):
            return 0.0
        width = least_width(piece.vertices)
        return _SLIM if width < self.shortest else float(width < self.width)

    def price(self, shell: Shell, split: Split, plane: Plane) -> float | None:
        """Return what a cut of a shell costs, in sections; None where it may not run."""
        if cuts_off_wall(shell, plane, self.depths.wall):
            return None
        beside = self.weights.all_flange * self._beside(shell, plane) / self.bed**2
        if not len(split.line):
            return beside
        middles = split.line.mean(1)
        lengths = np.linalg.norm(split.line[:, 1] - split.line[:, 0], axis=1)
        if self._runs_through(split, plane, middles, lengths):
            return None
        if self.keeping is not None and self.keeping.is_met(split, plane):
            return None
        angles = steepness(split.normals, plane.normal)
        shallow = lengths[angles < self.angle].sum() + (_TIMES - 1) * lengths[angles < self.angle * _VERY].sum()
        cost = self.weights.length * lengths.sum() + self.weights.shallow * shallow
        cost += self.weights.along * self._along(middles, lengths)
        cost += self.weights.curved * self.bends.along(middles, lengths) if self.bends else 0.0
        return cost / self.bed + beside + _WITHOUT_ROOM * lines_without_room(split, angles, lengths, self.run)

    def _beside(self, shell: Shell, plane: Plane) -> float:
        """Return how much skin, mm2, runs beside a cut, so near that all behind it is flange."""
        near = np.abs(plane.distance(shell.middles)) < self.beside
        vectors = shell.area_vectors[near]
        areas = np.linalg.norm(vectors, axis=1)
        return float(areas[np.abs(vectors @ np.asarray(plane.normal)) > _BESIDE * areas].sum())

    def _runs_through(self, split: Split, plane: Plane, middles: np.ndarray, lengths: np.ndarray) -> bool:
        """Return whether a cut comes too near to a place to keep clear, of those on the part it cuts."""
        near = self.clear[np.abs(plane.distance(self.clear[:, :3])) < self.clear[:, 3]]
        if not len(near):
            return False
        away = np.linalg.norm(middles[:, None] - near[:, :3], axis=2) - lengths[:, None] / 2
        return bool((away < _LEANING * near[:, 3] + 3 * near[:, 4]).any())

    def _along(self, middles: np.ndarray, lengths: np.ndarray) -> float:
        """Return how much of a line, mm, runs along rims and sharp edges."""
        if self.edges is None:
            return 0.0
        near = np.isfinite(self.edges.query(middles, distance_upper_bound=_ALONG)[0])
        return max(0.0, float(lengths[near].sum()) - 4 * _ALONG)


def points_of(pieces: list[Shell]) -> np.ndarray:
    """Return all that must fit of pieces, (k, 3) mm."""
    return np.vstack([piece.points for piece in pieces])


def steepness(skin: np.ndarray, normal: np.ndarray) -> np.ndarray:
    """Return the angle, (n,) deg, between a plane and a skin of normals (n, 3): 90 where it is cut square."""
    return np.degrees(np.arccos(np.clip(np.abs(skin @ np.asarray(normal)), 0.0, 1.0)))
