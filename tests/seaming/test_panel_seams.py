"""Seams of panels that open: even slices that fit, by counting by hand."""

from collections import Counter

import numpy as np
import pytest

from sections.seaming.naming import Names
from sections.seaming.panel_seams import even_seams

BED = np.array([[290.0, 290.0, 295.0]])


def seams(size, rooms=BED, symmetric=False, low=(0.0, 0.0, 0.0)):
    bounds = np.array([low, np.add(low, size)], float)
    made = even_seams("hatch", bounds, rooms, Names(Counter(z=2)), symmetric=symmetric)
    assert all(seam.panel == "hatch" for seam in made)
    return [(seam.id, seam.axis, seam.at) for seam in made]


def test_what_fits_is_not_cut():
    assert seams((280, 60, 285)) == []
    assert seams((400, 40, 60), np.array([[100.0, 100, 100], [50, 60, 410]])) == [], "on the second printer, upright"


def test_a_tall_door():
    """60 x 340 x 750: in two across and three up, none over 290; names go on after z2."""
    made = seams((60, 340, 750))
    assert made == [("y1", "y", 170.0), ("z3", "z", 250.0), ("z4", "z", 500.0)]


@pytest.mark.parametrize("wide", [500.0, 800.0])
def test_a_symmetric_one_gives_its_right_half(wide):
    made = seams((40, wide, 100), symmetric=True, low=(0.0, -wide / 2, 0.0))
    assert made == ([("y1", "y", 0.0)] if wide == 500 else [("y1", "y", round(wide / 6, 1))])
