"""Hems of an open skin: rims folded back under it, so close that no wall fits between."""

from __future__ import annotations

import numpy as np
from scipy.sparse import csr_matrix
from scipy.sparse.csgraph import dijkstra

from sections.numbers.halve import number_edges
from sections.numbers.mesh import Mesh, connected
from sections.solids.distance import MeshDistance
from sections.solids.orienting import turn_alike

# mm; rays begin so far behind the face they leave.
_OFF = 0.01
# Of two layers the one further from the middle of the skin, along it, is the hem; by less than this part of the gap
# neither is, as of the two sides of a blade.
_FURTHER = 0.5
# A part of the skin that has room behind it is one of its middle where it is so much of the largest.
_LARGE = 0.1


def without_hems(mesh: Mesh, gap: float, outside: np.ndarray | None = None) -> np.ndarray:
    """Return which faces, (m,) bool, of a welded open skin are no hem, nor hang on nothing but one.

    A hem runs back to back with other skin, less than `gap` mm off, and ends in a rim. outside : (3,) a direction most
    of the skin looks toward, where the builder gives one.
    """
    skin = turn_alike(mesh, outside).mesh
    centres, normals = skin.triangles.mean(1), skin.normals
    other, _ = MeshDistance(skin).first_hit(centres - _OFF * normals, -normals, gap)
    back_to_back = (other >= 0) & (np.einsum("ij,ij->i", normals, normals[other]) < 0)
    edges = number_edges(skin.faces, len(skin.vertices))
    _, one, two = edges.between()
    links = np.column_stack([one, two])
    if not back_to_back.any() or back_to_back.all():
        return np.ones(len(skin), bool)
    middle = _large(skin, links, ~back_to_back)
    far = _along_the_skin(centres, links, middle)
    asked = back_to_back & np.isfinite(far) & np.isfinite(far[other])
    further = np.zeros(len(skin))
    further[asked] = far[asked] - far[other[asked]]
    hem = _hems(further, links, (edges.uses[edges.number] == 1).any(1), _FURTHER * gap)
    hangs = connected(links[~hem[links].any(1)], len(skin))
    # What was joined to the middle, and is no more, goes too.
    return ~hem & (np.isin(hangs, hangs[middle]) | ~np.isfinite(far))


def _large(skin: Mesh, links: np.ndarray, chosen: np.ndarray) -> np.ndarray:
    """Return which faces, (m,) bool, are those of the largest part of the chosen ones that hangs together, and of parts
    not much smaller: what stands on both sides of a blade."""
    part = connected(links[chosen[links].all(1)], len(skin))
    areas = np.bincount(part, skin.areas_mm2 * chosen)
    return chosen & (areas >= _LARGE * areas.max())[part]


def _along_the_skin(centres: np.ndarray, links: np.ndarray, start: np.ndarray) -> np.ndarray:
    """Return how far, (m,) mm, each face is from those at the start, from middle to middle; inf where no way leads."""
    lengths = np.linalg.norm(centres[links[:, 0]] - centres[links[:, 1]], axis=1)
    count = len(centres)
    ways = csr_matrix((np.maximum(lengths, 1e-9), links.T), (count, count))
    return dijkstra(ways, directed=False, indices=np.flatnonzero(start), min_only=True)


def _hems(further: np.ndarray, links: np.ndarray, at_rim: np.ndarray, least: float) -> np.ndarray:
    """Return which faces, (m,) bool, make up hems. further : (m,) mm, by how much each is further from the middle than
    what lies behind it. at_rim : (m,) bool, which have an edge of the rim."""
    returned = further > 0
    part = connected(links[returned[links].all(1)], len(further))
    most, rim = np.zeros(part.max() + 1), np.zeros(part.max() + 1, bool)
    np.maximum.at(most, part, further)
    np.logical_or.at(rim, part, at_rim)
    return returned & rim[part] & (most[part] > least)
