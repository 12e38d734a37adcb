"""A field on few of a lattice's nodes against the same on all."""

import numpy as np
import pytest

from sections.wall.lattice import Lattice, narrow_band


@pytest.mark.parametrize("shape", [(20, 31, 17), (8, 9, 3), (64, 5, 33)])
@pytest.mark.parametrize("radius", [7.0, 23.0])
def test_signs_are_those_of_the_field(shape, radius):
    """A ball's distance at every node: the same sign all over, the same value at both ends of every
    step it changes on."""
    lattice, middle = Lattice(1.5, (-3, -2, -1), shape), np.array([9.1, 8.3, 7.7])
    asked = []

    def values(points):
        asked.append(len(points))
        return np.linalg.norm(points - middle, axis=1) - radius

    def verdict(points, reach):
        off = values(points)
        return np.where(off > reach, 1, np.where(off < -reach, -1, 0))

    field = narrow_band(lattice, verdict, values)
    index = np.stack(np.meshgrid(*map(np.arange, shape), indexing="ij"), -1)
    true = np.linalg.norm(lattice.points(index) - middle, axis=-1) - radius
    assert (np.sign(field) == np.sign(true)).all()
    for axis in range(3):
        change = np.diff(np.sign(true), axis=axis) != 0
        for end in (slice(None, -1), slice(1, None)):
            at = tuple(end if one == axis else slice(None) for one in range(3))
            assert field[at][change] == pytest.approx(true[at][change])
    assert asked[-1] < true.size
