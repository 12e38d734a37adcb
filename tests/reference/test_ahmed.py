"""The benchmark body against what is published of it (Ahmed, Ramm, Faltin, SAE 840300, 1984)."""

from pathlib import Path

import numpy as np
import pytest

from sections.body import load_body
from sections.settings import load_settings

PARAMETERS = Path(__file__).parents[2] / "params" / "ahmed.toml"


@pytest.fixture(scope="module")
def ahmed():
    return load_body(load_settings(PARAMETERS), PARAMETERS.parent)


def test_four_times_the_published_size(ahmed):
    """1044 x 389 x 288 at a ground clearance of 50, times four."""
    assert ahmed.skin.size == pytest.approx([4176, 1556, 1152], abs=1e-6)
    assert ahmed.skin.bounds[0] == pytest.approx([0, -778, 200], abs=1e-6)


def test_closed_form_volume(ahmed):
    """W H L less the rounded front edges, 2(W+H)R^2(1-pi/4) - 4R^3(5/3-pi/2), less the slant's wedge; scale cubed."""
    length, width, height, radius, slant = 1044.0, 389.0, 288.0, 100.0, 222.0
    rounded = 2 * (width + height) * radius**2 * (1 - np.pi / 4) - 4 * radius**3 * (5 / 3 - np.pi / 2)
    wedge = width * slant**2 * np.sin(np.radians(25)) * np.cos(np.radians(25)) / 2
    closed = (length * width * height - rounded - wedge) * 64
    assert closed == pytest.approx(110767629.8 * 64, rel=1e-9)
    assert ahmed.skin.volume_mm3 == pytest.approx(closed, rel=1e-5)


def test_frontal_area(ahmed):
    """0.112032 m2 at full size: width times height, stilts left out; published as 0.112."""
    vectors = ahmed.skin.area_vectors
    facing = -vectors[vectors[:, 0] < 0, 0].sum() / 1e6
    assert facing / 16 == pytest.approx(0.112032, rel=1e-6)


def test_slant(ahmed):
    """The slant face: 25 degrees, 222 long, full width, times four."""
    normals = ahmed.skin.normals
    slanted = normals @ [np.sin(np.radians(25)), 0, np.cos(np.radians(25))] > 1 - 1e-9
    assert ahmed.skin.areas_mm2[slanted].sum() == pytest.approx(222 * 389 * 16, rel=1e-6)
