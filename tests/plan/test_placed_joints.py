"""Joints strung on a short run: all kinds find their place where there is one."""

from itertools import combinations

import numpy as np
import pytest

from sections.features import JointSet
from sections.plan.placed_joints import place_joints
from sections.plan.runs import Run
from sections.settings import Settings

SETTINGS = Settings.model_validate({"name": "any", "body": {"file": "any.stl", "units": "mm"}})
KINDS = JointSet.of(SETTINGS).kinds


def strung(length, spans):
    """Joints on a straight run with stations 2.5 mm apart; kinds have room within their spans of it."""
    arc = np.linspace(0.0, length, int(length / 2.5) + 1)
    points = np.column_stack([arc, 0 * arc])
    run = Run(points, np.tile([1.0, 0.0], (len(arc), 1)), arc, False)
    rooms = {
        kind: [np.where(((arc >= low) & (arc <= high))[:, None], points, np.nan)] for kind, (low, high) in spans.items()
    }
    placed, short = place_joints([run], rooms, KINDS, SETTINGS.bolts.pitch)
    return [(one.kind, float(arc[one.station])) for one in placed], short


@pytest.mark.parametrize("bolts", [(40.0, 61.0), (0.0, 30.0), (70.0, 96.0), (0.0, 96.0)])
def test_one_of_each(bolts):
    """96 mm take two dowels, a key and a bolt, 66 with all their lands, wherever bolts have room; none comes nearer to
    another than both reach."""
    made, short = strung(96.0, {"dowel": (7.0, 88.0), "key": (17.0, 79.0), "bolt": bolts})
    assert not short
    assert sorted({kind.name for kind, _ in made}) == ["bolt", "dowel", "key"]
    for (one, at), (other, there) in combinations(made, 2):
        assert abs(at - there) >= one.half_length + other.half_length


def test_no_room_is_reported():
    """Bolts where both dowels and the key must be: reported, with how many places there were."""
    made, short = strung(60.0, {"dowel": (4.0, 56.0), "key": (29.0, 31.0), "bolt": (29.0, 31.0)})
    assert [one.kind for one in short] == ["bolt"] and "not enough for a bolt" in short[0].reason
    assert {kind.name for kind, _ in made} == {"dowel", "key"}


def test_dowels_stand_well_apart():
    """Bolts have room near one end alone, where a dowel would go: the dowels still stand apart by 0.7 of what they
    could at the least, and nothing is left out."""
    made, short = strung(120.0, {"dowel": (6.0, 112.0), "key": (16.0, 104.0), "bolt": (4.0, 14.0)})
    assert not short
    one, two = (at for kind, at in made if kind.name == "dowel")
    assert abs(two - one) >= 0.7 * 105.0


@pytest.mark.parametrize("far", [84.0, 96.0, 108.0])
def test_bolts_reach_as_far_as_they_can(far):
    """Bolts have room beside one end and in a short stretch near the other, which a dowel as far out as it can go
    would take: the dowel gives way, so that no part of the line of 120 mm is further than a pitch of 80 mm from a
    bolt."""
    arc = np.linspace(0.0, 120.0, 49)
    points = np.column_stack([arc, 0 * arc])
    run = Run(points, np.tile([1.0, 0.0], (len(arc), 1)), arc, False)
    spans = {"dowel": [(6.0, far + 4)], "key": [(16.0, far - 6)], "bolt": [(4.0, 28.0), (far - 4, far)]}
    rooms = {
        kind: [np.where(np.any([(arc >= low) & (arc <= high) for low, high in of], axis=0)[:, None], points, np.nan)]
        for kind, of in spans.items()
    }
    placed, short = place_joints([run], rooms, KINDS, 80.0)
    bolts = np.array([arc[one.station] for one in placed if one.kind.name == "bolt"])
    assert not short and np.abs(arc[:, None] - bolts).min(1).max() <= 80.0
