"""Framing: what is drawn fills the picture and stays in it, by perspective projection worked out anew here."""

from __future__ import annotations

import numpy as np
import pytest

from sections.pictures.render import _VIEW_ANGLE, View, stand


@pytest.mark.parametrize("size", [(2600, 1150, 1250), (10, 300, 10), (280, 260, 40)])
@pytest.mark.parametrize("toward", [(-1.0, 0.85, 0.55), (0.2, -1.0, 0.1)])
def test_fills_the_picture(size, toward):
    """All of a box is seen within 0.94 of the picture, and reaches that on both sides, sideways or upright."""
    rng = np.random.default_rng(1)
    points = (rng.random((400, 3)) - 0.3) * size + [500, -80, 900]
    eye, look_at = stand(points, View(toward), 1.6)
    ahead = (look_at - eye) / np.linalg.norm(look_at - eye)
    assert ahead == pytest.approx(-np.array(toward) / np.linalg.norm(toward))
    right = np.cross(ahead, [0, 0, 1])
    right /= np.linalg.norm(right)
    off = points - eye
    half_height = np.tan(np.radians(_VIEW_ANGLE) / 2)
    seen = np.column_stack([off @ right / 1.6, off @ np.cross(right, ahead)]) / (off @ ahead)[:, None] / half_height
    assert np.abs(seen).max() == pytest.approx(0.94)
    fullest = np.abs(seen).max(0).argmax()
    assert seen[:, fullest].min() == pytest.approx(-seen[:, fullest].max())
