"""Blocks of fine triangles, to be folded."""

import numpy as np
import trimesh

from sections.numbers.mesh import Mesh


def gridded_block(halvings):
    """A block of 20 x 10 x 5 about the origin, its edges halved so often: (corners, faces, which corners are its
    top's)."""
    made = trimesh.creation.box((20, 10, 5))
    for _ in range(halvings):
        made = made.subdivide()
    return made.vertices.copy(), np.array(made.faces), np.flatnonzero(np.isclose(made.vertices[:, 2], 2.5))


def block_with_a_fold(halvings, pulled, deep, dent):
    """Such a block, the middle corner of its top pulled `pulled` mm along x and `deep` down, over the corner after the
    next, which is dented `dent` times as deep."""
    corners, faces, top = gridded_block(halvings)
    one = top[np.abs(corners[top]).sum(1).argmin()]
    spacing = 20 / 2**halvings
    beyond = top[np.abs(corners[top, :2] - corners[one, :2] - [2 * spacing, 0]).sum(1).argmin()]
    corners[one] += [pulled, 0.0, -deep]
    corners[beyond, 2] -= dent * deep
    return Mesh(corners, faces)
