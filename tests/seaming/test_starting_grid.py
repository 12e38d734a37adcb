"""Cuts to start from: even where nothing speaks against it, moved where an even one leaves a sliver."""

import numpy as np
import trimesh

from sections.seaming.starting_grid import starting_grid
from sections.settings.joints import SeamWeights
from tests.seaming.test_search import DEPTHS, rules, shell_of

BED = np.array([289.0, 289.0, 289.0])


def grid(*boxes, mirrored=False):
    """The cuts of a body of boxes, each its extents and middle."""
    made = [trimesh.creation.box(size, trimesh.transformations.translation_matrix(at)) for size, at in boxes]
    body = trimesh.boolean.union(made) if len(made) > 1 else made[0]
    judged = rules(np.array([BED + 1]), weights=SeamWeights())
    return starting_grid(shell_of(body, DEPTHS), judged, BED, mirrored=mirrored)


def test_a_plain_box_is_cut_evenly():
    """1,000 mm along y, its middle at 0 but for a rounding: four parts of 250 mm; the cut amid it is at 0, not -0."""
    x, y, z = grid(((200, 1000, 200), (0, -1e-9, 0)))
    assert (x, z) == ((), ()) and y == (-250, 0, 250) and "-0.0" not in str(y)


def test_no_sliver_beside_a_step():
    """A block that ends 5 mm beyond where an even cut would lie, and a neck that goes on: of the block so cut a slab 5
    mm thick would be left on the neck, no wall but flange. The cut stands clear of the step by a flange, each part fits
    the bed."""
    for side in (1, -1):
        ((cut,), _, _) = grid(((205, 200, 200), (side * 102.5, 0, 0)), ((195, 80, 80), (side * 302.5, 0, 0)))
        cut *= side
        assert abs(cut - 205) > DEPTHS.flange and cut <= 289 and 400 - cut <= 289


def test_mirrored_cuts_lie_alike_on_either_side():
    """A ball on a stick, and its mirror image: y cuts come in pairs."""
    boxes = (((100, 800, 100), (0, 0, 0)), ((150, 140, 150), (0, 330, 0)), ((150, 140, 150), (0, -330, 0)))
    _, y, _ = grid(*boxes, mirrored=True)
    assert len(y) == 2 and y[0] == -y[1]
