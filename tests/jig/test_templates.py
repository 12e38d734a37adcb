"""Contour templates of a body in closed form."""

import numpy as np
import pytest
import shapely

from sections.errors import BadInput
from sections.jig.templates import templates_of
from sections.settings.jig import JigTable
from tests.jig.test_design import FLAT, HEIGHT, LENGTH, RADIUS, barrel, ground_of

STADIUM = shapely.LineString([(-FLAT, HEIGHT), (FLAT, HEIGHT)]).buffer(RADIUS, quad_segs=256)


@pytest.fixture(scope="module")
def made():
    jig = JigTable(templates=[RADIUS + 200.0, RADIUS + LENGTH / 2], template_gap=1.0, reach=320, rails=150)
    return templates_of(ground_of(barrel(), jig), jig, both=True)


def test_both_sides(made):
    assert [part.id for part in made] == [f"template-{n}-{side}" for n in (1, 2) for side in ("right", "left")]


@pytest.mark.parametrize("number", range(4))
def test_the_edge_follows_the_skin(made, number):
    """Nowhere nearer than 1 mm to the stadium, to the mesh's 0.16 mm, and no further off along all of a quarter circle
    and half the roof's flat."""
    outline, side = made[number].outline, 1 if number % 2 == 0 else -1
    edge = shapely.get_coordinates(outline.exterior.segmentize(2.0))
    away = shapely.distance(shapely.points(edge), STADIUM)
    assert away.min() == pytest.approx(1.0, abs=0.2)
    above = (away < 1.2) & (edge[:, 1] > HEIGHT)
    assert np.abs(edge[above][:, 0]).min() < 4 and (edge[:, 0] * side > -1e-9).all()
    quarter = np.pi * RADIUS / 2 + FLAT
    assert above.sum() * 2.0 == pytest.approx(quarter, rel=0.1)


@pytest.mark.parametrize("number", range(4))
def test_it_comes_off_sideways(made, number):
    side = 1 if number % 2 == 0 else -1
    for off in (0.0, 5.0, 100.0, 400.0):
        assert shapely.affinity.translate(made[number].outline, side * off).intersection(STADIUM.buffer(-0.2)).is_empty


def test_levels_cut_in(made):
    """A line every 100 mm of z, between the body's lowest place and its roof."""
    levels = [mark.coords[0][1] for mark in made[0].marks if isinstance(mark, shapely.LineString)]
    assert levels == [400.0, 500.0, 600.0, 700.0, 800.0]


def test_past_the_ends():
    jig = JigTable(templates=[9000.0], reach=320, rails=150)
    with pytest.raises(BadInput, match=r"jig\.templates\[1\] = 9000"):
        templates_of(ground_of(barrel(), jig), jig, both=False)
