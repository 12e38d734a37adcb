"""A field on few of a lattice's nodes against the same on all."""

import numpy as np
import pytest

from sections.wall.lattice import Lattice, narrow_bands


@pytest.mark.parametrize("shape", [(20, 31, 17), (8, 9, 3), (64, 5, 33)])
@pytest.mark.parametrize("radius", [7.0, 23.0])
def test_signs_are_those_of_the_field(shape, radius):
    """Two balls' distances at every node: the same sign all over, the same value at both ends of every
    step it changes on."""
    lattice, middle = Lattice(1.5, (-3, -2, -1), shape), np.array([9.1, 8.3, 7.7])
    asked = []

    def values(points):
        asked.append(len(points))
        return np.linalg.norm(points - middle, axis=1)[:, None] - [radius, radius + 4.0]

    def verdict(points, reach):
        off = values(points)
        return np.where(off > reach, 1, np.where(off < -reach, -1, 0))

    fields = narrow_bands(lattice, verdict, values, 2)
    for number, size in enumerate((radius, radius + 4.0)):
        _compare(lattice, fields[number], middle, size)
    assert asked[-1] < np.prod(shape)


def _compare(lattice, field, middle, radius):
    shape = lattice.shape
    index = np.stack(np.meshgrid(*map(np.arange, shape), indexing="ij"), -1)
    true = np.linalg.norm(lattice.points(index) - middle, axis=-1) - radius
    assert (np.sign(field) == np.sign(true)).all()
    for axis in range(3):
        change = np.diff(np.sign(true), axis=axis) != 0
        for end in (slice(None, -1), slice(1, None)):
            at = tuple(end if one == axis else slice(None) for one in range(3))
            assert field[at][change] == pytest.approx(true[at][change])
