"""Winding numbers: how often a mesh goes round a point; 1 inside a closed one that looks outward, 0 outside.

Judged face by face, winding numbers leave cracks along cuts; judged patch by patch they do not, unless holes let a
patch run on from outside to inside. So: by patch, and by face where a mesh with holes has a patch that disagrees.
"""

from __future__ import annotations

import igl
import numpy as np

from sections.numbers.mesh import Mesh

# Halfway between outside and inside.
_INSIDE = 0.5


class WindingNumbers:
    """Winding numbers of one mesh, by libigl. The tree is built once, with the object."""

    def __init__(self, mesh: Mesh):
        """Build the tree. mesh : closed, or with holes, near which the numbers are anything between."""
        self._tree = igl.FastWindingNumberBVH()
        self._tree.init(mesh.vertices, mesh.faces)

    def hold(self, points: np.ndarray) -> np.ndarray:
        """Return which of (n, 3) points lie inside."""
        return self.at(points) > _INSIDE

    def at(self, points: np.ndarray) -> np.ndarray:
        """Return the winding number, (n,), at (n, 3) points."""
        return self._tree.winding_number(np.ascontiguousarray(points)).reshape(-1)
