"""Edges where a seam leaves an opening at a small angle: cut blunt, as thick as a nozzle can print."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

import numpy as np

from sections.numbers.frame import Plane
from sections.numbers.mesh import Mesh

# deg; an edge with a smaller angle is cut blunt. mm; by how much what is cut reaches out of the material: openings are
# followed within less.
_SHARP, _PAST = 45.0, 0.3
# mm; ends this near are one; facets whose planes differ by less are one.
_SAME = 1e-4


@dataclass(frozen=True)
class _Stretch:
    """A straight part of an edge: its two ends, (2, 3) mm, and what is cut across it, (3, 3) mm from either end."""

    ends: np.ndarray
    across: np.ndarray

    def at(self, end: int) -> np.ndarray:
        """Return the corners of what is cut at one end, (3, 3) mm."""
        return self.ends[end] + self.across


def blunt_tips(seams: Iterable[Plane], opening: Mesh, thick: float) -> list[np.ndarray]:
    """Return what to cut from a cell so that no edge between a seam and an opening is thinner than `thick` mm: the
    corners, (n, 3) mm, of convex solids.

    seams : with the cell on their plus side. opening : the surface of what is cut, outward normals.
    """
    if not thick:
        return []
    tips = []
    for plane in seams:
        stretches = list(_stretches(plane, opening, thick))
        tips += [np.vstack([one.at(0), one.at(1)]) for one in stretches]
        tips += list(_between(stretches))
    return tips


def _between(stretches: list[_Stretch]) -> Iterator[np.ndarray]:
    """Yield what is cut where one stretch goes over into the next."""
    ends = [(number, end) for number in range(len(stretches)) for end in (0, 1)]
    for place, (one, i) in enumerate(ends):
        for other, j in ends[place + 1 :]:
            near = np.abs(stretches[one].ends[i] - stretches[other].ends[j]).max() < _SAME
            if other != one and near:
                yield np.vstack([stretches[one].at(i), stretches[other].at(j)])


def _stretches(plane: Plane, opening: Mesh, thick: float) -> Iterator[_Stretch]:
    """Yield the straight parts of an opening's edge on a seam that are too sharp, those of one facet as one."""
    seam, normals = np.asarray(plane.normal), opening.normals
    distance = plane.distance(opening.vertices)[opening.faces]
    sharp = normals @ seam < -math.cos(math.radians(_SHARP))
    crossing = np.flatnonzero(sharp & (distance.min(1) < -_SAME) & (distance.max(1) > _SAME))
    lines: dict[tuple, list[np.ndarray]] = {}
    for face in crossing:
        corners, normal = opening.vertices[opening.faces[face]], normals[face]
        key = (*np.round(normal, 4), round(float(normal @ corners[0]), 3))
        lines.setdefault(key, []).append(_on_plane(corners, distance[face]))
    for key, pieces in lines.items():
        normal = np.array(key[:3]) / np.linalg.norm(key[:3])
        for ends in _joined(np.array(pieces), np.cross(seam, normal)):
            yield _Stretch(ends, _across(seam, normal, thick))


def _on_plane(corners: np.ndarray, distance: np.ndarray) -> np.ndarray:
    """Return the two places, (2, 3) mm, where the sides of a triangle cross a plane. distance : (3,) mm, to it."""
    found = []
    for one, other in ((0, 1), (1, 2), (2, 0)):
        if (distance[one] > 0) != (distance[other] > 0):
            share = distance[one] / (distance[one] - distance[other])
            found.append(corners[one] + share * (corners[other] - corners[one]))
    return np.array(found)


def _joined(pieces: np.ndarray, along: np.ndarray) -> list[np.ndarray]:
    """Return pieces of one line, (n, 2, 3) mm, with those that touch made one. along : the line's direction."""
    order = np.argsort(pieces @ along, axis=1)
    pieces = np.take_along_axis(pieces, order[:, :, None], axis=1)
    made: list[np.ndarray] = []
    for piece in pieces[np.argsort(pieces[:, 0] @ along)]:
        if made and (piece[0] - made[-1][1]) @ along < _SAME:
            if (piece[1] - made[-1][1]) @ along > 0:
                made[-1][1] = piece[1]
        else:
            made.append(piece.copy())
    return [piece for piece in made if np.ptp(piece @ along) > _SAME]


def _across(seam: np.ndarray, normal: np.ndarray, thick: float) -> np.ndarray:
    """Return the triangle, (3, 3) mm from the edge, that is cut from a wedge between two faces, so that `thick` mm is
    left square to what halves it. Its corners lie a little out of both faces."""
    half = (math.pi - math.acos(float(np.clip(seam @ normal, -1.0, 1.0)))) / 2
    reach = thick / 2 / math.sin(half) + _PAST * math.tan(half)
    far = [reach * _unit(other - (other @ own) * own) - _PAST * own for own, other in ((seam, normal), (normal, seam))]
    return np.array([-_PAST / math.sin(half) * _unit(seam + normal), *far])


def _unit(vector: np.ndarray) -> np.ndarray:
    return vector / np.linalg.norm(vector)
