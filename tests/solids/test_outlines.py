"""Outlines of solids as polygons, of rings that are not what they should be."""

from types import SimpleNamespace

import numpy as np
import pytest
from shapely import Polygon

from sections.numbers.frame import make_frame
from sections.solids.print_solid import PrintSolid

LEVEL = make_frame(np.zeros(3), np.eye(3))
PLATE = [(0, 0), (300, 0), (300, 200), (0, 200)]
# Once round, it meets itself again in its second corner: two loops.
TOUCHING = [(161, 106.24), (181.28, 108.35), (190, 108.1), (192, 106.2), (242.2, 106.6), (191.4, 105.2)]
TOUCHING += [(188.7, 106.8), (181.28, 108.35), (181.8, 103), (161.5, 100.9)]
SQUARE = [(80, 110), (83, 110), (83, 114), (80, 114)]


class Outline:
    """What the solids' library says of one outline: its rings."""

    def __init__(self, rings):
        self.rings = rings

    def decompose(self):
        return [self]

    def to_polygons(self):
        return [np.array(ring, float) for ring in self.rings]


@pytest.mark.parametrize("of", ["shadow", "section_at"])
def test_a_hole_that_touches_itself(of):
    """Seen in a foot: a hole's ring that meets itself in a corner, and another hole. Such a ring is refused by
    the library of polygons (its rule: a ring meets itself in no point). Area: the plate less both by the sum over their
    corners, which holds for a ring that touches itself as well."""
    assert not Polygon(TOUCHING).is_valid
    outline = Outline([PLATE, SQUARE, TOUCHING])
    manifold = SimpleNamespace(project=lambda: outline, slice=lambda height: outline)
    manifold.transform = lambda matrix: manifold
    made = getattr(PrintSolid(manifold), of)(LEVEL)
    rows = np.array(TOUCHING)
    after = np.roll(rows, -1, axis=0)
    area = abs((rows[:, 0] * after[:, 1] - rows[:, 1] * after[:, 0]).sum()) / 2
    assert made.is_valid and made.area == pytest.approx(300 * 200 - 3 * 4 - area)
