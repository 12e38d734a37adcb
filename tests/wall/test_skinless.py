"""What openings leave below the skin is no section: reported and left out. Volumes in closed form."""

import numpy as np
import pytest

from sections.solids.distance import MeshDistance
from sections.solids.print_solid import PrintSolid
from sections.wall.carve import carve
from sections.wall.depth import DepthRule
from sections.wall.opening_edges import Cutter

BODY = PrintSolid.box(np.zeros(3), np.array([200.0, 200.0, 200.0]))
CELL = PrintSolid.box(np.array([60.0, 60.0, 100.0]), np.array([100.0, 100.0, 200.0]))


def carved(*openings):
    """A cell of 40 x 40 below the top of a cube of 200, wall 4, less openings."""
    cutters = [Cutter("opening", solid) for solid in openings]
    return carve(CELL, MeshDistance(BODY.mesh()), DepthRule(4.0, 4.0, 1.0, 45.0, ()), 2.0, cutters)


def test_all_skin_taken_away():
    """An opening 1.5 deep over all of it leaves a plate of 40 x 40 x 2.5 that shows none of the skin."""
    over = PrintSolid.box(np.array([0.0, 0.0, 198.5]), np.array([200.0, 200.0, 210.0]))
    made = carved(over)
    assert made.pieces == ()
    assert [piece.volume_mm3 for piece in made.skinless] == [pytest.approx(40 * 40 * 2.5, rel=1e-3)]


def test_some_skin_left():
    """An opening that leaves a strip 10 wide of the skin, and a slot through the wall beside it: the strip stays, what
    lies below the opening beyond the slot does not."""
    over = PrintSolid.box(np.array([0.0, 0.0, 198.5]), np.array([90.0, 200.0, 210.0]))
    slot = PrintSolid.box(np.array([85.0, 0.0, 150.0]), np.array([90.0, 200.0, 210.0]))
    made = carved(over, slot)
    assert [piece.volume_mm3 for piece in made.pieces] == [pytest.approx(10 * 40 * 4, rel=1e-3)]
    assert [piece.volume_mm3 for piece in made.skinless] == [pytest.approx(25 * 40 * 2.5, rel=1e-3)]
