"""What becomes of a wrap before it is a skin."""

import numpy as np
import pytest

from sections.numbers.mesh import Mesh, shell_count, weld_exact
from sections.numbers.self_contact import taken_apart
from sections.scan.wrapped import _without_folds
from sections.solids.crossing import crossing_faces
from sections.solids.soundness import edge_flaws

SQUARE = np.array([[-30, -30], [30, -30], [30, 30], [-30, 30]])
# A block of 60 x 60 x 60. Its top has a slit 30 long, of which one corner, amid it, is there twice.
SLIT = [[-15, 0, 60], [15, 0, 60], [0, 0, 60], [0, 0, 60]]
A, B, M, N, C = range(8, 13)
BLOCK = np.array([
    (0, 2, 1), (0, 3, 2),
    *[face for k in range(4) for face in ((k, (k + 1) % 4, 4 + (k + 1) % 4), (k, 4 + (k + 1) % 4, 4 + k))],
    (4, 5, M), (5, B, M), (4, M, A), (6, 7, N), (7, A, N), (6, N, B), (7, 4, A), (5, 6, B),
])  # fmt: skip
CORNERS = np.vstack([np.insert(SQUARE, 2, 0, axis=1), np.insert(SQUARE, 2, 60, axis=1), SLIT]).astype(float)


@pytest.mark.parametrize("high", [2.0, 20.0])
def test_a_flap_without_thickness_is_cut_off(high):
    """A flap stands in the slit, its two sides in one place. What is left is the block, but for what a nick 0.05 wide
    takes along 30 mm of its top."""
    flap = [(A, M, C), (M, B, C), (N, A, C), (B, N, C)]
    mesh = Mesh(np.vstack([CORNERS, [[0, 0, 60 + high]]]), np.vstack([BLOCK, flap]))
    assert mesh.volume_mm3 == pytest.approx(60**3) and len(crossing_faces(mesh, 0.03)) == 4
    left = _without_folds(mesh, 0.03, "it")
    assert left.bounds[1, 2] == 60 and len(crossing_faces(left, 0.03)) == 0
    assert 60**3 - 30 * 0.05 * 0.05 < left.volume_mm3 < 60**3


def test_an_edge_of_four_faces_that_lie_on_one_another_is_cut_off():
    """A flap, both sides of it in one place, stands on an edge of the block: four faces about it, two of which cannot
    be told apart. What is left is the block, but for what a nick 0.05 wide takes along 60 mm."""
    flap = [(4, 5, 8), (5, 4, 8)]
    whole = [(4, 5, 6), (4, 6, 7)]
    mesh = Mesh(np.vstack([CORNERS[:8], [[0, -30, 80]]]), np.vstack([BLOCK[:10], whole, flap]))
    assert mesh.volume_mm3 == pytest.approx(60**3)
    assert "branching" in {flaw.code for flaw in edge_flaws(taken_apart(mesh).mesh)}
    left = _without_folds(mesh, 0.03, "it")
    assert edge_flaws(weld_exact(left)) == [] and left.bounds[1, 2] == 60
    assert 60**3 - 60 * 0.05 * 0.05 < left.volume_mm3 < 60**3


def test_what_would_come_apart_is_left_as_it_is():
    """Two blocks that nothing joins but a flap between their slits."""
    upper, count = CORNERS * [1, 1, -1] + [0, 0, 140], len(CORNERS)
    a, b, m, n = (one + count for one in (A, B, M, N))
    flap = [(A, M, m), (A, m, a), (M, B, b), (M, b, m), (N, A, a), (N, a, n), (B, N, n), (B, n, b)]
    mesh = Mesh(np.vstack([CORNERS, upper]), np.vstack([BLOCK, BLOCK[:, ::-1] + count, flap]))
    assert shell_count(mesh) == 1 and mesh.volume_mm3 == pytest.approx(2 * 60**3)
    assert len(crossing_faces(mesh, 0.03)) == 8 and _without_folds(mesh, 0.03, "it") is None
