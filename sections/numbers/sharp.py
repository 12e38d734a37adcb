"""Sharp edges of a mesh."""

from __future__ import annotations

import numpy as np

from sections.numbers.halve import number_edges
from sections.numbers.mesh import Mesh

# mm; a face narrower than this has a direction by chance.
_SLIVER = 0.25


def sharp_edges(mesh: Mesh, angle: float) -> np.ndarray:
    """Return the edges, (n, 2) corners, between faces that turn by more than an angle, deg.

    The normal of a sliver is chance, so an edge beside one is left out.
    """
    edges = number_edges(mesh.faces, len(mesh.vertices))
    twice, one, two = edges.between()
    normals, wide = mesh.normals, mesh.widths > _SLIVER
    turn = np.einsum("ij,ij->i", normals[one], normals[two])
    return edges.ends[twice][(turn < np.cos(np.radians(angle))) & wide[one] & wide[two]]
