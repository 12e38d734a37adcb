"""Edges of a mesh against another library's."""

import numpy as np
import pytest
import trimesh

from sections.numbers.halve import number_edges


@pytest.mark.parametrize("made", [
    trimesh.creation.icosphere(2), trimesh.creation.annulus(10, 20, 5), trimesh.creation.box().subdivide(),
    trimesh.Trimesh(trimesh.creation.icosphere(2).vertices, trimesh.creation.icosphere(2).faces[:131]),
    trimesh.Trimesh(np.empty((0, 3)), np.empty((0, 3), int)),
])  # fmt: skip
def test_edges_of_a_mesh(made):
    """As trimesh tells them apart, in whatever order the faces come; each edge's first use is the first there is."""
    faces = np.random.default_rng(4).permutation(np.asarray(made.faces, int))
    edges = number_edges(faces, len(made.vertices))
    theirs = trimesh.Trimesh(made.vertices, faces, process=False)
    ours = edges.ends[edges.number]
    # Edge k of a triangle here lies opposite its corner k; theirs run from corner k on.
    assert np.array_equal(np.sort(ours[:, [2, 0, 1]], axis=2), theirs.edges_sorted.reshape(-1, 3, 2))
    assert len(edges.ends) == len(theirs.edges_unique)
    uses = edges.number.reshape(-1).tolist()
    assert edges.first.tolist() == [uses.index(number) for number in range(len(edges.ends))]
    assert edges.uses.sum() == 3 * len(faces)
