"""The skin in trial cuts: triangles that are clipped by planes, and what will stand behind them."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from functools import cached_property
from itertools import combinations

import numpy as np
from scipy.spatial import cKDTree

from sections.numbers.bounds import boxes_meet
from sections.numbers.frame import Plane
from sections.numbers.mesh import Mesh, connected
from sections.numbers.sampling import sample_surface
from sections.solids.corner_groups import corner_groups
from sections.solids.distance import MeshDistance

# mm; a corner nearer to a plane than this is taken to lie beyond it.
_ON = 1e-7
# Where skin lies nearly in a seam's plane its flange would reach without end; it is reckoned with to this slant.
LEAST_SINE = 0.35
# Skin that looks at a place more than so straight, as a cosine, faces it.
_FACING = 0.3
# mm2; less skin than this is none.
_NOTHING = 1e-6
# So many times as far off as two pieces come nearest is near.
_NEAREST = 2.0
# Places looked at, on one, to tell whether two pieces come close.
_PLACES, _SEED = 400, 11


@dataclass(frozen=True)
class Depths:
    """How far material stands in from the skin, mm: `wall`, at a seam `flange`; a seam's tongues stand out `tongue`."""

    wall: float
    flange: float
    tongue: float


@dataclass(frozen=True)
class Shell:
    """Part of a body's skin.

    vertices : (n, 3) mm. inner : (n, 3) what stands deepest behind each. normals : (n, 3) of the skin. faces : (m, 3).
    strays : (k, 3) mm, ends of what stands behind skin next door and reaches in here.
    bounds : (k, 8) places in it, mm, directions, the longest, mm, the piece nearest to a place may be along its own,
    and 1 where that holds for all pieces together. planes : it was cut by, all of it beyond each.
    """

    vertices: np.ndarray
    inner: np.ndarray
    normals: np.ndarray
    faces: np.ndarray
    bounds: np.ndarray = field(default_factory=lambda: np.empty((0, 8)))
    strays: np.ndarray = field(default_factory=lambda: np.empty((0, 3)))
    planes: tuple[Plane, ...] = ()

    @staticmethod
    def of(mesh: Mesh, normals: np.ndarray, depths: Depths) -> Shell:
        """Return the shell of a skin with outward normals, (n, 3), at its corners."""
        inner = mesh.vertices - depths.wall * normals
        return Shell(mesh.vertices, inner, normals, mesh.faces)

    @cached_property
    def mesh(self) -> Mesh:
        """The skin alone."""
        return Mesh(self.vertices, self.faces)

    @cached_property
    def area_vectors(self) -> np.ndarray:
        """Half the cross product of two edges of each face, (m, 3) mm2."""
        return self.mesh.area_vectors

    @cached_property
    def middles(self) -> np.ndarray:
        """Middle of each face, (m, 3) mm."""
        return self.mesh.triangles.mean(1)

    @cached_property
    def area(self) -> float:
        """Area, mm2."""
        return float(_lengths(self.area_vectors).sum())

    def __len__(self) -> int:
        """Number of faces."""
        return len(self.faces)

    @cached_property
    def points(self) -> np.ndarray:
        """All that must fit, (k, 3) mm."""
        return np.concatenate([self.vertices, self.inner, self.strays])

    def with_bounds(self, bounds: np.ndarray) -> Shell:
        """Return the shell with more bounds, (k, 8)."""
        return replace(self, bounds=np.vstack([self.bounds, bounds]))

    def pieces(self) -> list[Shell]:
        """Return its separate pieces; faces hang together by corners."""
        group = corner_groups(self.faces)
        of_face = group[self.faces[:, 0]]
        numbers = np.unique(of_face)
        if len(numbers) == 1:
            return [self]
        of_stray = group[cKDTree(self.vertices).query(self.strays)[1]] if len(self.strays) else np.empty(0, int)
        return [
            self.kept(self.faces[of_face == number], self.bounds, self.strays[of_stray == number]) for number in numbers
        ]

    def short_of(self, along: np.ndarray, at: float) -> Shell:
        """Return the faces that begin short of a place along a unit vector (3,), mm; itself where all do."""
        begins = (self.vertices @ along < at)[self.faces].any(1)
        return self if begins.all() else self.kept(self.faces[begins], self.bounds, self.strays)

    def split(self, plane: Plane, depths: Depths) -> Split:
        """Return what lies beyond a plane and short of it, and the line between."""
        off, deep = plane.distance(self.vertices), plane.distance(self.inner)
        beyond = off > -_ON
        far = plane.distance(self.bounds[:, :3]) > 0
        strays = self._strays(beyond, deep > 0, plane)
        inner = self.inner.copy()
        _end_in(inner, self.vertices, off, deep, beyond != (deep > 0))
        whole = replace(self, inner=inner)
        side = beyond[self.faces].sum(1)
        mixed = (side == 1) | (side == 2)
        if not mixed.any():
            plus, minus = (
                (
                    whole._beyond(plane if n else plane.flipped()),
                    self.faces[side == n],
                    self.bounds[far == (n > 0)],
                    strays[n > 0],
                )
                for n in (3, 0)
            )
            return Split(plus, minus, np.empty((0, 2, 3)), np.empty((0, 3)), np.empty((0, 2), int))
        faces = _lone_first(self.faces[mixed], beyond)
        normals = _unit(self.area_vectors[mixed])
        added, ends = whole._on_edges(faces, off, normals, plane, depths)
        ends = ends + len(self.vertices)
        # Of each face cut the corner alone on its side, and the other two: as triangles one and two.
        lone = np.concatenate([faces[:, :1], ends], axis=1)
        one = np.concatenate([ends[:, :1], faces[:, 1:]], axis=1)
        two = np.concatenate([ends[:, :1], faces[:, 2:], ends[:, 1:]], axis=1)
        is_beyond = beyond[faces[:, 0]]
        plus = np.concatenate([self.faces[side == 3], lone[is_beyond], one[~is_beyond], two[~is_beyond]])
        minus = np.concatenate([self.faces[side == 0], lone[~is_beyond], one[is_beyond], two[is_beyond]])
        short = added._tongued(len(self.vertices), plane, depths)._beyond(plane.flipped())
        of_beyond = added._beyond(plane), plus, self.bounds[far], strays[1]
        of_short = short, minus, self.bounds[~far], strays[0]
        return Split(of_beyond, of_short, added.vertices[ends], normals, ends)

    def _beyond(self, plane: Plane) -> Shell:
        """Return the shell as cut by a plane it lies beyond."""
        return replace(self, planes=(*self.planes, plane))

    def _strays(self, beyond: np.ndarray, reaches: np.ndarray, plane: Plane) -> tuple[np.ndarray, np.ndarray]:
        """Return the ends, short of a plane and beyond it, (k, 3) mm, of what stands behind skin of the other side.
        reaches : (n,) bool, what stands behind which corners ends beyond it."""
        strays = [self.inner[beyond & ~reaches], self.inner[~beyond & reaches]]
        if len(self.strays):
            far = plane.distance(self.strays) > 0
            strays = [np.concatenate([strays[n], self.strays[far == n]]) for n in (0, 1)]
        return tuple(strays)

    def _on_edges(self, faces, off, normals, plane: Plane, depths: Depths) -> tuple[Shell, np.ndarray]:
        """Return (the shell with a corner more where each edge meets the plane, (k, 2) which two each face has)."""
        lone, others = faces[:, :1], faces[:, 1:]
        edges = np.minimum(lone, others) * len(off) + np.maximum(lone, others)
        key, number = np.unique(edges, return_inverse=True)
        number = number.reshape(-1, 2)
        start, stop = key // len(off), key % len(off)
        part = (off[start] / (off[start] - off[stop]))[:, None].clip(0, 1)
        at = self.vertices[start] + part * (self.vertices[stop] - self.vertices[start])
        mean = np.zeros((len(key), 3))
        np.add.at(mean, number, normals[:, None])
        mean = _unit(mean)
        inner = at + inward(mean, plane, depths.flange)
        for other in self.planes:
            deep = other.distance(inner)
            _end_in(inner, at, other.distance(at), deep, deep < 0)
        pairs = (self.vertices, at), (self.inner, inner), (self.normals, mean)
        vertices, inner, normals = map(np.concatenate, pairs)
        return Shell(vertices, inner, normals, self.faces, planes=self.planes), number

    def _tongued(self, first: int, plane: Plane, depths: Depths) -> Shell:
        """Return the shell with room for tongues at the corners from number `first` on."""
        if not depths.tongue:
            return self
        inner = self.inner.copy()
        inner[first:] += depths.tongue * np.asarray(plane.normal)
        return replace(self, inner=inner)

    def kept(self, faces: np.ndarray, bounds: np.ndarray, strays: np.ndarray) -> Shell:
        """Return what of it has some faces, (m, 3), bounds, (k, 8), and strays, (k, 3)."""
        used = np.zeros(len(self.vertices), bool)
        used[faces] = True
        number = np.cumsum(used) - 1
        return Shell(
            self.vertices[used], self.inner[used], self.normals[used], number[faces], bounds, strays, self.planes
        )


def _end_in(inner: np.ndarray, corners: np.ndarray, off: np.ndarray, deep: np.ndarray, through: np.ndarray) -> None:
    """Have what stands behind corners, (n, 3) mm each, end in a plane. off, deep : (n,) mm, of both from the plane.
    through : (n,) bool, which of it goes through the plane."""
    rows = np.flatnonzero(through & (np.abs(deep) > _ON))
    if len(rows):
        part = (off[rows] / (off[rows] - deep[rows]))[:, None].clip(0, 1)
        inner[rows] = corners[rows] + part * (inner[rows] - corners[rows])


@dataclass(frozen=True)
class Split:
    """A shell cut by a plane. of_beyond, of_short : what the parts are made of, once they are asked for: a shell, and
    faces, bounds and strays of it. line : (k, 2, 3) mm, the skin's own line in the plane, piece by piece. normals :
    (k, 3) of the skin along it. ends : (k, 2) numbers of the pieces' ends, the same where two meet."""

    of_beyond: tuple[Shell, np.ndarray, np.ndarray, np.ndarray]
    of_short: tuple[Shell, np.ndarray, np.ndarray, np.ndarray]
    line: np.ndarray
    normals: np.ndarray
    ends: np.ndarray

    @cached_property
    def beyond(self) -> Shell:
        """The part beyond the plane."""
        shell, *rest = self.of_beyond
        return shell.kept(*rest)

    @cached_property
    def short(self) -> Shell:
        """The part short of the plane."""
        shell, *rest = self.of_short
        return shell.kept(*rest)


def grown_together(pieces: list[Shell], close: float) -> list[list[Shell]]:
    """Return pieces in groups whose skins come within about `close` mm of one another, as two sides of a thin edge; not
    where only air is between them."""
    if len(pieces) < 2:
        return [[piece] for piece in pieces]
    pairs = combinations(range(len(pieces)), 2)
    links = [(one, other) for one, other in pairs if _come_close(pieces[one], pieces[other], close)]
    group = connected(np.array(links, int).reshape(-1, 2), len(pieces))
    return [[pieces[i] for i in np.flatnonzero(group == number)] for number in range(group.max() + 1)]


def nearest_of(groups: list[list[Shell]], place: np.ndarray) -> int:
    """Return the number of the group whose corners come nearest to a place (3,)."""
    away = [min(np.linalg.norm(piece.vertices - place, axis=1).min() for piece in group) for group in groups]
    return int(np.argmin(away))


def _come_close(one: Shell, other: Shell, close: float) -> bool:
    """Return whether of the places looked at on one shell some are `close` mm from the other, or half their spacing
    more, and neither faces the other where they come nearest."""
    if min(one.area, other.area) < _NOTHING * max(len(one), len(other)):
        return False
    box, others = (np.array([shell.vertices.min(0), shell.vertices.max(0)]) for shell in (one, other))
    if not boxes_meet(box, others, close):
        return False
    places, own = sample_surface(other.mesh, _PLACES, _SEED)
    # What is clipped leaves slivers that look nowhere.
    whole = np.linalg.norm(one.area_vectors, axis=1) > _NOTHING
    away, face, nearest = MeshDistance(Mesh(one.vertices, one.faces[whole])).nearest(places)
    near = away < min(close + np.sqrt(other.area / _PLACES) / 2, _NEAREST * away.min() + _ON)
    ways, most = (places - nearest)[near], _FACING * away[near]
    ahead = np.einsum("nj,nj->n", ways, _unit(one.area_vectors[whole][face[near]])) > most
    behind = np.einsum("nj,nj->n", -ways, _unit(other.area_vectors[own[near]])) > most
    return bool((~(ahead | behind)).any())


def inward(normals: np.ndarray, plane: Plane, depth: float) -> np.ndarray:
    """Return the way, (n, 3) mm, along a plane into the body from skin of normals (n, 3) to where that is `depth` mm
    away: a flange of that height ends there."""
    within = normals - (normals @ np.asarray(plane.normal))[:, None] * np.asarray(plane.normal)
    return -(depth * _unit(within) / np.maximum(_lengths(within), LEAST_SINE)[:, None])


def _unit(vectors: np.ndarray) -> np.ndarray:
    return vectors / np.maximum(_lengths(vectors), 1e-300)[:, None]


def _lengths(vectors: np.ndarray) -> np.ndarray:
    """Return the lengths, (n,), of vectors (n, 3), in a third of the time of the library's norm."""
    return np.sqrt(np.einsum("ij,ij->i", vectors, vectors))


def _lone_first(faces: np.ndarray, beyond: np.ndarray) -> np.ndarray:
    """Return mixed faces turned so that the corner alone on its side comes first."""
    flags = beyond[faces]
    lone = np.where(flags.sum(1) == 1, flags.argmax(1), (~flags).argmax(1))
    return np.take_along_axis(faces, (lone[:, None] + np.arange(3)) % 3, axis=1)
