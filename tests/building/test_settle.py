"""A part in the numbers of its print file."""

import numpy as np
import pytest

from sections.building import settle as settling
from sections.building.settle import settle
from sections.numbers.frame import make_frame
from sections.numbers.mesh import Mesh, shell_count, weld_exact
from sections.numbers.tolerances import SETTLED
from sections.solids.crossing import crossing_faces
from sections.solids.print_solid import PrintSolid
from sections.solids.soundness import edge_flaws
from tests.solids.folded import block_with_a_fold

BED = make_frame(np.zeros(3), np.eye(3))
BLOCK = PrintSolid.box((0, 0, 0), (20, 10, 5))


def folded(solid: PrintSolid) -> PrintSolid:
    """Return a block with one corner of its top pulled through the bottom."""
    mesh = solid.mesh()
    corners = mesh.vertices.copy()
    corners[np.abs(corners - [20, 10, 5]).sum(1).argmin(), 2] = -2.0
    return PrintSolid.of(Mesh(corners, mesh.faces), "folded")


@pytest.mark.parametrize("folds, clean", [(1, True), (2, True), (3, False)])
def test_what_folds_as_corners_are_made_one_is_tried_again(monkeypatch, folds, clean):
    """Of the three distances over which corners are made one, those that fold the part are passed over; where all do,
    so deep that what cuts the fold out takes more than 10 mm3, it is still given back, for the check of solids to
    refuse."""
    simplified = PrintSolid.simplified
    tried = []

    def folding(solid, tolerance):
        tried.append(tolerance)
        made = simplified(solid, tolerance)
        return folded(made) if len(tried) <= folds else made

    monkeypatch.setattr(PrintSolid, "simplified", folding)
    mesh = settle(BLOCK, BED, (1.0, 1.0, 1.0), "block")
    assert max(tried) < SETTLED, "a corner made one with another still lies where checks look for it"
    assert tried[:3] == sorted(tried[:3]) and len(tried) == (folds + 1 if clean else 3 + 4)
    assert (not len(crossing_faces(mesh, 0.01))) == clean
    if clean:
        assert mesh.volume_mm3 == pytest.approx(20 * 10 * 5)


@pytest.mark.parametrize("chain", [0, 1, 3])
def test_parts_that_touch_along_edges_are_parted(chain):
    """Two blocks that touch along an edge, or with a chain of bars 0.04 mm wide between them that touch one another so:
    every edge of the print file has two faces, and what is lost is no more than nicks of half a millimetre."""
    blocks = [PrintSolid.box((0, 0, 0), (10, 10, 5))]
    at = 10.0
    for _ in range(chain):
        blocks.append(PrintSolid.box((at, 0, at - 5), (at + 0.04, 10, at - 4.96)))
        at += 0.04
    blocks.append(PrintSolid.box((at, 0, at - 5), (at + 10, 10, at)))
    solid = blocks[0].unite(blocks[1:])
    mesh = settle(solid, BED, (1.0, 1.0, 1.0), "chain")
    assert not edge_flaws(weld_exact(mesh))
    assert 0 <= solid.volume_mm3 - mesh.volume_mm3 < 2 * 10 * 0.5**2 * (chain + 1)


@pytest.mark.parametrize("deep", [0.03, 0.1])
def test_a_shallow_fold_is_cut_out(deep):
    """A corner of a fine grid on a block's top is pulled over its neighbour's dent and into it: in the print file no
    faces cross, and hardly anything of the block is lost."""
    block = block_with_a_fold(5, pulled=0.9, deep=deep, dent=4)
    assert len(crossing_faces(block, 0.01))
    mesh = settle(PrintSolid.of(block, "block"), BED, (1.0, 1.0, 1.0), "block")
    assert not len(crossing_faces(weld_exact(mesh), 0.01)) and not edge_flaws(weld_exact(mesh))
    assert 999 < mesh.volume_mm3 < 1000.5 and shell_count(weld_exact(mesh)) == 1


def test_crumbs_that_a_nick_leaves_go(monkeypatch):
    """Where cutting a fold out leaves a crumb of 0.3 mm beside the block, as in the films of a rough wrap, the fold
    is cut out all the same, and the crumb is left out."""
    block, cut = block_with_a_fold(5, pulled=0.9, deep=0.03, dent=4), settling.nicked
    crumb = PrintSolid.box((30, 0, 0), (30.3, 0.3, 0.3))
    crumbling = lambda mesh, *given: PrintSolid.of(cut(mesh, *given), "block").unite([crumb]).mesh()  # noqa: E731
    monkeypatch.setattr(settling, "nicked", crumbling)
    mesh = settle(PrintSolid.of(block, "block"), BED, (1.0, 1.0, 1.0), "block")
    assert not len(crossing_faces(weld_exact(mesh), 0.01)) and shell_count(weld_exact(mesh)) == 1


@pytest.mark.parametrize("inside", [False, True])
def test_crumbs_are_left_out(inside):
    """A film 1.7 x 0.7 x 0.013 beside a block, and a void as small in it: neither prints; a cube of 2 mm stays."""
    crumb = PrintSolid.box((3, 3, 1), (4.7, 3.7, 1.013)) if inside else PrintSolid.box((30, 0, 0), (31.7, 0.7, 0.013))
    block = BLOCK.cut([crumb]) if inside else BLOCK.unite([crumb])
    mesh = settle(block.unite([PrintSolid.box((40, 0, 0), (42, 2, 2))]), BED, (1.0, 1.0, 1.0), "block")
    assert shell_count(weld_exact(mesh)) == 2 and mesh.volume_mm3 == pytest.approx(20 * 10 * 5 + 8)
