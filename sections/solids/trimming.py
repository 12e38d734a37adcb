"""A mesh, open or closed, cut off at a plane."""

from __future__ import annotations

import numpy as np
import trimesh

from sections.numbers.frame import Plane
from sections.numbers.mesh import Mesh, weld_exact


def trimmed(mesh: Mesh, plane: Plane) -> Mesh:
    """Return the part of a mesh on the plus side of a plane, cut along it and left open there."""
    normal = np.asarray(plane.normal)
    vertices, faces, _ = trimesh.intersections.slice_faces_plane(
        mesh.vertices, mesh.faces, normal, normal * plane.offset
    )
    return weld_exact(Mesh(vertices, faces))
