"""The inner face is simplified by no more than leaves its faces clear of one another."""

from dataclasses import dataclass

import numpy as np
import pytest

from sections.numbers.mesh import Mesh, join
from sections.solids.crossing import crossing_faces
from sections.solids.print_solid import PrintSolid
from sections.solids.simplifying import fewer_triangles
from sections.wall.carve import INNER_SIMPLIFY


@dataclass
class Film:
    """Two boxes 0.05 apart; simplified by more than `most`, one has moved into the other by 0.1."""

    most: float

    def mesh(self):
        """As it is, before it is simplified."""
        return self._moved(0.05).kept

    def simplified(self, tolerance):
        return self._moved(0.05 if tolerance <= self.most else -0.1, tolerance)

    def _moved(self, gap, tolerance=0.0):
        lower, upper = PrintSolid.box([0, 0, 0], [10, 10, 1]), PrintSolid.box([2, 2, 1 + gap], [12, 12, 2 + gap])
        mesh = join([lower.mesh(), upper.mesh()])
        return _Made(Mesh(mesh.vertices, mesh.faces), tolerance)


@dataclass
class _Made:
    kept: Mesh
    tolerance: float

    def mesh(self):
        return self.kept


@pytest.mark.parametrize("most, part", [(1.0, 1.0), (0.6, 0.5), (0.2, 0.1)])
def test_less_where_it_folds(most, part):
    """The first of 1, 1/2, 1/4, 1/10 of the tolerance that folds nothing is taken."""
    made = fewer_triangles(Film(most * INNER_SIMPLIFY), INNER_SIMPLIFY)
    assert made.tolerance == pytest.approx(part * INNER_SIMPLIFY)
    assert len(crossing_faces(made.mesh(), INNER_SIMPLIFY)) == 0


def test_none_is_clear():
    """Where every part folds, the best there is is handed on, for the check of the section to tell."""
    assert len(crossing_faces(fewer_triangles(Film(-1.0), INNER_SIMPLIFY).mesh(), INNER_SIMPLIFY)) > 0


@pytest.mark.parametrize(("off", "found"), [(0.001, 0), (0.3, 2)])
def test_faces_that_meet_in_a_corner(off, found):
    """Two faces that point at one another along x, each with corners on both sides of the other's plane: overlapping by
    so little as rounding puts their corners apart they meet; by 0.3 mm they cross."""
    one = [(0.0, 0.0, 0.0), (10.0, -5.0, 0.0), (10.0, 5.0, 0.0)]
    two = [(off, 0.0, 0.0), (off - 5.0, 1.0, 3.0), (off - 5.0, -1.0, -3.0)]
    mesh = Mesh(np.array(one + two), np.arange(6).reshape(2, 3))
    assert len(crossing_faces(mesh, 0.02)) == found
