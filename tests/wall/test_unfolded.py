"""Corners of the inner face that were moved through the face opposite are laid back, and no others."""

import numpy as np
import trimesh

from sections.numbers.mesh import Mesh
from sections.solids.crossing import crossing_faces
from sections.wall.marching import Surface
from sections.wall.refining import unfolded


def test_film():
    """A film 0.3 thick: its upper corners within 6 mm of the middle moved down by 0.5, the others by 0.1."""
    box = trimesh.creation.box((40.0, 40.0, 0.3))
    laid, faces = trimesh.remesh.subdivide_to_size(box.vertices, box.faces, 3.0)
    mesh = trimesh.Trimesh(laid, faces, process=True)
    laid, faces = np.asarray(mesh.vertices), np.asarray(mesh.faces)
    upper = (laid[:, 2] > 0.149) & (np.abs(laid[:, :2]) < 19).all(1)
    middle = upper & (np.linalg.norm(laid[:, :2], axis=1) < 6)
    moved = laid.copy()
    moved[upper, 2] -= 0.1
    moved[middle, 2] -= 0.4
    assert len(crossing_faces(Mesh(moved, faces), 0.01)) > 0
    nothing = np.zeros_like(laid)
    surface = Surface(Mesh(moved, faces), np.ones(len(laid), bool), nothing, laid, np.zeros_like(faces))
    mended = unfolded(surface).mesh.vertices
    assert len(crossing_faces(Mesh(mended, faces), 0.01)) == 0
    assert (mended[middle][:, 2] == laid[middle][:, 2]).any()
    far = upper & (np.linalg.norm(laid[:, :2], axis=1) > 12)
    assert far.any() and (mended[far] == moved[far]).all()
