"""Which way a hardpoint's channel opens: clear of the skin, or it is refused. Boxes of known width."""

from types import SimpleNamespace

import numpy as np
import pytest

from sections.features.hardpoint import hardpoint_of
from sections.numbers.frame import frame_on
from sections.plan.bosses import _channel_free
from sections.settings.bosses import Hardpoint
from sections.solids.distance import MeshDistance
from sections.solids.print_solid import PrintSolid

SETTINGS = SimpleNamespace(wall=SimpleNamespace(thickness=4.0), flange=SimpleNamespace(web=1.6))
DOWN, ALONG_Y = np.array([0.0, 0, -1]), np.array([0.0, 1, 0])


def context(half_x, half_y):
    box = PrintSolid.box((-half_x, -half_y, -100), (half_x, half_y, 100))
    return SimpleNamespace(settings=SETTINGS, skin=MeshDistance(box.mesh()))


def opened(at, where, *, turnable):
    asked = Hardpoint(id="a", at=list(at), bolt="M5", travel=0.0 if turnable else 3.0, along=list(ALONG_Y))
    boss = hardpoint_of(asked, 40.0, 4.0, None)
    frame = frame_on(np.array(at), DOWN, ALONG_Y)
    return _channel_free(boss, frame, where, turnable=turnable)


@pytest.mark.parametrize(("y", "way"), [(80.0, -1.0), (-80.0, 1.0), (0.0, 1.0)])
def test_away_from_the_side_that_is_near(y, way):
    assert opened((0.0, y, 0.0), context(100, 100), turnable=False).x == pytest.approx((0.0, way, 0.0))


def test_between_two_sides_a_slot_across_is_refused():
    assert opened((0.0, 0.0, 0.0), context(100, 20), turnable=False) is None


def test_without_a_slot_it_is_turned_to_where_there_is_room():
    made = opened((0.0, 0.0, 0.0), context(100, 20), turnable=True)
    assert abs(made.x[0]) == pytest.approx(1.0, abs=1e-9)
    assert opened((0.0, 0.0, 0.0), context(20, 20), turnable=True) is None
