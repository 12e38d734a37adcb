"""Edges in which four or more faces meet, and corners in which parts of a mesh meet: where the mesh only touches itself
there, each part gets corners of its own. Nothing moves.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from sections.numbers.halve import EdgeNumbers, number_edges
from sections.numbers.mesh import Mesh, connected
from sections.numbers.pinched_corners import fan_links

# rad; two faces this near in direction about their edge lie on one another: which is in front is not plain.
_ALIKE = 1e-3
# A mesh with more such edges lies over itself; it is not looked at one by one.
_MOST = 5000


@dataclass(frozen=True)
class Apart:
    """A mesh taken apart where it touched itself. edges : (k, 3) mm, middles of edges that more than two faces shared
    and that two have now. corners : (n, 3) mm, corners that parts met in, those of such edges left out."""

    mesh: Mesh
    edges: np.ndarray
    corners: np.ndarray


def taken_apart(mesh: Mesh) -> Apart:
    """Return a welded mesh with corners of its own for each part that only touches another.

    About an edge of four or more faces that look away from one another in turn, each two with material between them go
    together. Where faces lie on one another there, look the same way, or are odd in number, the edge stays as it is.
    """
    edges = number_edges(mesh.faces, len(mesh.vertices))
    many = np.flatnonzero(edges.uses > 2)
    if len(many) > _MOST:
        return Apart(mesh, np.empty((0, 3)), np.empty((0, 3)))
    around, paired = _around(edges, many), np.zeros(len(edges.ends), bool)
    links = [fan_links(mesh.faces, edges)]
    for edge in many:
        pairs = _pairs(mesh, edges.ends[edge], around[edge])
        paired[edge] = pairs is not None
        # What is not plain stays together.
        pairs = list(pairwise(around[edge])) if pairs is None else pairs
        links.append(_corner_links(mesh.faces, edges.ends[edge], pairs))
    fans = connected(np.concatenate(links), 3 * len(mesh))
    _, first, fan = np.unique(fans, return_index=True, return_inverse=True)
    corner = mesh.faces.reshape(-1)[first]
    order = np.lexsort((first, corner))
    again = order[np.flatnonzero(np.diff(corner[order]) == 0) + 1]
    # About a rim fans are apart that belong together.
    at_rim = np.zeros(len(mesh.vertices), bool)
    at_rim[edges.ends[edges.uses == 1]] = True
    again = again[~at_rim[corner[again]]]
    place, sources = corner.copy(), corner[again]
    place[again] = len(mesh.vertices) + np.arange(len(again))
    made = Mesh(np.vstack([mesh.vertices, mesh.vertices[sources]]), place[fan].reshape(-1, 3))
    solved = edges.ends[paired]
    solved = solved[~at_rim[solved].all(1)]
    alone = np.setdiff1d(sources, solved)
    return Apart(made, mesh.vertices[solved].mean(1), mesh.vertices[alone])


def _around(edges: EdgeNumbers, many: np.ndarray) -> dict[int, list[int]]:
    """Return the faces at each of these edges."""
    uses = edges.number.reshape(-1)
    wanted = np.zeros(len(edges.ends), bool)
    wanted[many] = True
    found: dict[int, list[int]] = {int(edge): [] for edge in many}
    for use in np.flatnonzero(wanted[uses]):
        found[int(uses[use])].append(int(use) // 3)
    return found


def _pairs(mesh: Mesh, ends: np.ndarray, faces: list[int]) -> list[tuple[int, int]] | None:
    """Return the faces about an edge two by two, material between them; None where that is not plain."""
    if len(faces) % 2 or len(set(faces)) != len(faces):
        return None
    start, stop = mesh.vertices[ends]
    along = (stop - start) / max(float(np.linalg.norm(stop - start)), 1e-300)
    corners = mesh.faces[faces]
    third = corners[(corners != ends[0]) & (corners != ends[1])]
    if len(third) != len(faces):
        return None
    toward = mesh.vertices[third] - start
    toward -= (toward @ along)[:, None] * along
    first = toward[0] / max(float(np.linalg.norm(toward[0])), 1e-300)
    angle = np.arctan2(toward @ np.cross(along, first), toward @ first)
    # A face that runs along the edge has its material behind it, at lesser angles; one against it at greater ones.
    forward = np.array([_runs_along(row, ends) for row in corners])
    order = np.argsort(angle)
    gaps = np.diff(np.append(angle[order], angle[order[0]] + 2 * np.pi))
    if (forward[order] == np.roll(forward[order], 1)).any() or gaps.min() < _ALIKE:
        return None
    start_at = int(np.flatnonzero(~forward[order])[0])
    turn = [faces[one] for one in np.roll(order, -start_at)]
    return list(zip(turn[::2], turn[1::2], strict=True))


def _runs_along(face: np.ndarray, ends: np.ndarray) -> bool:
    at = int(np.flatnonzero(face == ends[0])[0])
    return bool(face[(at + 1) % 3] == ends[1])


def _corner_links(faces: np.ndarray, ends: np.ndarray, pairs: list[tuple[int, int]]) -> np.ndarray:
    """Return the corners, as places in faces.reshape(-1), (k, 2), that belong together where faces share an edge."""
    links = [
        (3 * one + int(np.flatnonzero(faces[one] == end)[0]), 3 * two + int(np.flatnonzero(faces[two] == end)[0]))
        for one, two in pairs
        for end in ends
    ]
    return np.array(links, np.int64).reshape(-1, 2)
