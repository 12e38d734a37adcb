"""Corners of the inner face that were moved through the face opposite are laid back, and no others; places that are
off are found."""

import numpy as np
import trimesh

from sections.numbers.mesh import Mesh
from sections.solids.crossing import crossing_faces
from sections.solids.distance import MeshDistance
from sections.wall.depth import even_depth
from sections.wall.levels import Field
from sections.wall.marching import Surface
from sections.wall.refining import places_off, unfolded


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
    repaired = unfolded(surface).mesh.vertices
    assert len(crossing_faces(Mesh(repaired, faces), 0.01)) == 0
    assert (repaired[middle][:, 2] == laid[middle][:, 2]).any()
    far = upper & (np.linalg.norm(laid[:, :2], axis=1) > 12)
    assert far.any() and (repaired[far] == moved[far]).all()


def test_a_place_that_is_off_at_the_middle_of_an_edge():
    """Two faces 4 below a plate's top, their common edge 0.141 too high: the middles of the faces are 0.094 off."""
    box = trimesh.creation.box((100.0, 100.0, 100.0))
    rule = even_depth(4.0)
    field = Field(MeshDistance(Mesh(box.vertices, box.faces)), rule.levels(10.0)[0], rule.at)
    corners = np.array([(0.0, -2, 46.141), (0, 2, 46.141), (-3, 0, 46), (3, 0, 46)])
    faces = np.array([[0, 1, 2], [1, 0, 3]])
    surface = Surface(Mesh(corners, faces), np.ones(4, bool), np.zeros_like(corners), corners, np.zeros_like(faces))
    bounds = np.array([[-10.0, -10, 30], [10, 10, 50]])
    assert places_off(surface, field, bounds, 0.1).tolist() == [[0.0, 0.0, 46.141]]
    assert len(places_off(surface, field, bounds, 0.15)) == 0
