"""Keys: the gap square to all their sides is the fit, pocket and key are each other's shape."""

import math
from dataclasses import replace

import pytest

from sections.features.key import Key

KEY = Key(length=24.0, width=8.0, height=6.0, draft=5.0, fit=0.2, end=0.5, web=2.0, loose=True)


def volume(length, width, high, draft):
    """Of a block that falls in on all four sides: Simpson's rule, exact for a product of two lines."""
    fall = 2 * math.tan(math.radians(draft))
    ends = [(length - fall * z) * (width - fall * z) for z in (0, high / 2, high)]
    return high / 6 * (ends[0] + 4 * ends[1] + ends[2])


@pytest.mark.parametrize("draft", [0.0, 5.0, 20.0])
def test_the_loose_key_and_its_pockets(draft):
    key = replace(KEY, draft=draft)
    assert key.hardware().solid.Volume() == pytest.approx(2 * volume(24, 8, 6, draft))
    minus, plus = key.tools()
    grow = 2 * 0.2 / math.cos(math.radians(draft))
    deep = volume(24 + grow, 8 + grow, 6.5, draft) + (24 + grow) * (8 + grow) * 1.0
    for tool in (minus, plus):
        assert tool.action == "cut" and tool.solid.isValid()
        assert tool.solid.Volume() == pytest.approx(deep)
    assert plus.solid.BoundingBox().zmax == pytest.approx(6.5)
    assert minus.solid.BoundingBox().zmin == pytest.approx(-6.5)


def test_a_tongue():
    key = replace(KEY, loose=False)
    assert key.hardware() is None
    minus, plus = key.tools()
    assert (minus.action, plus.action) == ("add", "cut")
    assert minus.solid.Volume() == pytest.approx(volume(24, 8, 6, 5) + 24 * 8 * 1.0)
    between = plus.solid.distance(minus.solid.cut(plus.solid)) if minus.solid.cut(plus.solid).Volume() > 1e-9 else 0.0
    assert between == 0.0, "the tongue lies in its pocket"


def test_the_gap_is_the_fit():
    """Square to a side of the key, from its middle out to the pocket's wall."""
    key, pocket = KEY.hardware().solid, KEY.tools()[1].solid
    left = pocket.cut(key)
    # A thin shell of gap: its faces along the long sides lie 0.2 apart.
    sides = [face for face in pocket.Faces() if abs(face.normalAt().x) > 0.9]
    assert len(sides) >= 2 and left.Volume() > 0
    assert min(side.distance(key) for side in sides) == pytest.approx(0.2, abs=1e-6)
