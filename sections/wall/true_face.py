"""Bringing the inner face onto the true offset of the skin.

Marching cubes lay its corners by a straight line between two lattice nodes and cut across what bends between
them: behind a sharp edge that points into the body (a recess, a feature line seen from inside) a 4 mm lattice left
a 4 mm wall up to 0.5 mm thin. Here corners on the plain wall are moved onto the offset, and edges whose middle is
off it are halved.
"""

from __future__ import annotations

import numpy as np
from scipy.spatial import cKDTree

from sections.numbers.halve import halve, number_edges
from sections.numbers.mesh import Mesh
from sections.solids.crossing import crossing_faces
from sections.solids.distance import MeshDistance
from sections.wall.depth import DepthRule

_ROUNDS = 4
# mm; how far an edge's middle may be off the offset. What is _SHARP too deep spans a corner that the material
# fills: the wall is thicker there, no halving would make a sharp corner of it, and moving it folded the face (with
# 0.3 here, faces passed through one another behind a lamp recess).
_OFF = 0.02
_SHARP = 0.08
# mm; moved further than this a corner may have led its faces through others, no further away than _BESIDE; how deep.
_FAR, _BESIDE, _CROSSED = 0.05, 6.0, 0.01


def on_true_offset(hollow: Mesh, box: np.ndarray, skin: MeshDistance, rule: DepthRule) -> Mesh:
    """Return the surface of a hollow with its plain inner face on the offset `rule.wall` mm below the skin.

    box : (2, 3) mm, the lattice; corners beyond it close the hollow off and are left alone, as is all that lies
    on flanges and their backs.
    """
    laid, faces = hollow.vertices, hollow.faces
    vertices = laid.copy()
    within = np.flatnonzero(((vertices >= box[0]) & (vertices <= box[1])).all(1))
    near, moved, _ = _project(vertices[within], skin, rule)
    plain = np.zeros(len(vertices), bool)
    plain[within[near]] = True
    vertices[within[near]] = moved[near]
    old = 0
    for _ in range(_ROUNDS):
        edges = number_edges(faces, len(vertices))
        asked = np.flatnonzero(plain[edges.ends].any(1) & (edges.ends >= old).any(1))
        near, moved, depth = _project(vertices[edges.ends[asked]].mean(1), skin, rule)
        off = near & (np.abs(depth - rule.wall) > _OFF)
        if not off.any():
            break
        wanted = np.zeros(len(edges.ends), bool)
        wanted[asked[off]] = True
        old = len(vertices)
        faces = halve(faces, edges, wanted, old).faces
        laid = np.vstack([laid, laid[edges.ends[asked[off]]].mean(1)])
        vertices = np.vstack([vertices, moved[off]])
        plain = np.concatenate([plain, np.ones(int(off.sum()), bool)])
    return Mesh(_unfolded(vertices, laid, faces), faces)


def _unfolded(vertices: np.ndarray, laid: np.ndarray, faces: np.ndarray) -> np.ndarray:
    """Return the vertices, (n, 3), with those put back where marching cubes had laid them whose faces now cross.

    Where the hollow ends in a film between two faces, moving the one can lead it through the other. As laid, no
    face crosses another. Only faces beside a corner that was moved far are looked at.
    """
    vertices = vertices.copy()
    for _ in range(_ROUNDS):
        far = np.linalg.norm(vertices - laid, axis=1) > _FAR
        if not far.any():
            break
        gap = cKDTree(vertices[far]).query(vertices, distance_upper_bound=_BESIDE)[0]
        beside = faces[(gap[faces] <= _BESIDE).any(1)]
        crossing = crossing_faces(Mesh(vertices, beside).compact(), _CROSSED)
        if not len(crossing):
            break
        back = np.unique(beside[crossing])
        vertices[back] = laid[back]
    return vertices


def _project(points: np.ndarray, skin: MeshDistance, rule: DepthRule) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Return (which points, (n,), belong on the plain inner face; each moved onto it, (n, 3); its depth, (n,) mm)."""
    depth, nearest, _ = skin.nearest_and_depth(points)
    away = points - nearest
    length = np.linalg.norm(away, axis=1)
    near = (depth > 0) & (depth < rule.wall + _SHARP) & (rule.at(points) <= rule.wall)
    moved = nearest + rule.wall * away / np.maximum(length, 1e-9)[:, None]
    return near, moved, depth
