"""Folds too shallow to count, where a part has more shells than one and winding numbers are asked."""

import numpy as np
import pytest

from sections.checks.built_parts import BuiltSection
from sections.checks.closure import WallPoints, read_inside
from sections.numbers.frame import make_frame
from sections.numbers.mesh import Mesh, join
from sections.plan.model import PlannedSection
from sections.solids.distance import MeshDistance
from sections.solids.print_solid import PrintSolid
from sections.solids.soundness import solid_flaws
from tests.solids.folded import block_with_a_fold, gridded_block


def with_a_fold(deep):
    """A block with a void, and on its top a corner of a grid pulled over its neighbour's dent, and so deep into it."""
    void = PrintSolid.box((-8, -3, -1), (-2, 3, 1)).mesh()
    folded = block_with_a_fold(3, pulled=6.0, deep=deep, dent=8)
    return join([folded, Mesh(void.vertices, void.faces[:, ::-1])])


@pytest.mark.parametrize("deep, flawed", [(0.002, False), (0.2, True)])
def test_of_more_shells(deep, flawed):
    """Below its front the faces of a fold look inward: 0.002 mm off the skin they do no harm; 0.2 mm off they do."""
    mesh = with_a_fold(deep)
    assert bool(solid_flaws(mesh, 0.01)) == flawed


@pytest.mark.parametrize("deep, flawed", [(0.002, False), (0.2, True)])
def test_a_void_that_is_a_film(deep, flawed):
    """A block with a void so high at one end, whose top lies so far below its floor at the other: material and void
    change places there. Over 0.002 mm nothing of it is printed; over 0.2 mm the two pass through one another."""
    void = PrintSolid.box((-8, -3, -1), (8, 3, 0)).mesh()
    corners = void.vertices.copy()
    at_top = corners[:, 2] > -0.5
    corners[at_top, 2] = np.where(corners[at_top, 0] < 0, -1 + deep, -1 - deep)
    block = PrintSolid.box((-20, -10, -5), (20, 10, 5)).mesh()
    mesh = join([block, Mesh(corners, void.faces[:, ::-1])])
    assert bool(solid_flaws(mesh, 0.01)) == flawed


def test_inside_out_is_found():
    """Two blocks, one turned inside out: nothing that a shallow fold would explain."""
    first, second = (PrintSolid.box((x, 0, 0), (x + 10, 10, 10)).mesh() for x in (0, 20))
    both = join([first, Mesh(second.vertices, second.faces[:, ::-1])])
    assert [flaw.code for flaw in solid_flaws(both, 0.01)] == ["inward"]


def test_what_lies_below_a_rumpled_skin():
    """A block whose top is rumpled by random folds 0.004 mm deep: every place 0.1 mm and more below it lies in the
    block, though the face nearest to some of them looks the other way."""
    rng = np.random.default_rng(1)
    corners, faces, top = gridded_block(5)
    top = top[(np.abs(corners[top, :2]) < (8, 3)).all(1)]
    corners[top] += rng.uniform(-1, 1, (len(top), 3)) * (0.6, 0.3, 0.004)
    planned = PlannedSection("X0", None, (), make_frame(np.zeros(3), np.eye(3)), (1.0, 1.0, 1.0), "", None, None)
    part = BuiltSection(planned, Mesh(corners, faces), {}, ())
    below = rng.uniform((-7, -2.5, 0.5), (7, 2.5, 2.4), (4000, 3))
    above = rng.uniform((-7, -2.5, 2.6), (7, 2.5, 3.4), (4000, 3))
    assert (MeshDistance(part.mesh).depth(below) < 0).any()
    read = read_inside(part, WallPoints(np.vstack([below, above])))
    assert read.inside.tolist() == list(range(4000)) and len(read.unsure) == 0
