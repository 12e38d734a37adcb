"""Framing: what is drawn fills the picture and stays in it, by perspective projection worked out anew here."""

from __future__ import annotations

import numpy as np
import pytest

from sections.pictures.names import names_seen
from sections.pictures.render import _VIEW_ANGLE, Item, View, stand
from sections.solids.print_solid import PrintSolid


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


def test_names_stand_where_their_sections_are_seen():
    """From the front: a plate with a window, a block seen through it, and one hidden behind the plate."""
    plate = PrintSolid.box((0, -100, 0), (10, 100, 200)).cut([PrintSolid.box((-5, -60, 60), (15, 60, 160))])
    items = {
        "plate": Item(plate.mesh(), (1, 1, 1)),
        "seen": Item(PrintSolid.box((50, -20, 90), (60, 20, 130)).mesh(), (1, 1, 1)),
        "hidden": Item(PrintSolid.box((50, -20, 5), (60, 20, 30)).mesh(), (1, 1, 1)),
    }
    tags = {tag.text: tag.at for tag in names_seen(items, {"front": View((-1.0, 0.0, 0.0))})["front"]}
    assert set(tags) == {"plate", "seen"}
    assert tags["plate"][0] == pytest.approx(0, abs=1e-3) and tags["seen"][0] == pytest.approx(50, abs=1e-3)
    assert not (abs(tags["plate"][1]) < 60 and 60 < tags["plate"][2] < 160)
