"""What a search is limited by, and what that may not change."""

from types import SimpleNamespace

import numpy as np
import pytest

from sections.planning import seam_search
from sections.planning.seam_search import CellToCut, Search, _search, searches_again
from sections.results.scratch import Scratch
from sections.seaming.troubles import Troubles
from sections.settings import Settings
from tests.seaming.test_search import leaves, plate, rules, shell_of
from tests.shared import quiet_pool


@pytest.mark.parametrize("of_grid", [0.0, 1.2, np.inf])
def test_a_plan_dearer_than_the_grid_is_found_all_the_same(of_grid, tmp_path, monkeypatch):
    """A plate of 1100 x 560 takes six sections (as in closed form: ceil(1100 / 386) x 2), whatever an even grid takes;
    where that is the limit, and no plan is cheaper, it is looked for without."""
    monkeypatch.setattr("sections.planning.seam_search._OF_GRID", of_grid)
    part = CellToCut(SimpleNamespace(id="X"), shell_of(plate(1100, 560)))
    (node,) = _search((part,), rules(), Scratch(tmp_path), quiet_pool())
    assert leaves(node) == 6


def test_none_at_all(tmp_path):
    """A flange of 24 mm is larger than any way across a room of 10."""
    (node,) = _search((CellToCut(SimpleNamespace(id="X"), shell_of(plate(60, 40))),), rules(np.full((1, 3), 10.0)),
                      Scratch(tmp_path), quiet_pool())  # fmt: skip
    assert node is None


def test_no_plan_so_far_off_is_looked_for_nearer(tmp_path):
    """Places 50 mm apart, each to be passed at 30, leave no cut anywhere; at 0.4 of that, 12 mm, a cut half way between
    two of them, 25 mm off, may run."""
    settings = Settings.model_validate({"name": "x", "body": {"file": "x.stl", "units": "mm"}})
    shell = shell_of(plate(700, 280))
    at = np.stack(np.meshgrid(np.arange(0, 701, 50.0), np.arange(0, 281, 50.0)), -1).reshape(-1, 2)
    rows = np.column_stack([at, np.zeros(len(at)), np.full(len(at), 30.0), np.zeros(len(at))])
    parts = (CellToCut(SimpleNamespace(id="X"), shell),)
    (first,) = _search(parts, rules(), Scratch(tmp_path), quiet_pool())
    search = Search(settings, rules(clear=rows[1:]), parts, (first,), 0, 0, given=0)
    found = next(searches_again(search, Troubles((), rows[:1]), Scratch(tmp_path), quiet_pool()))
    cuts = found.nodes[0].planes
    assert cuts and min(np.abs(plane.distance(rows[:, :3])).min() for plane in cuts) >= 12
    assert (found.rules.clear[:, 3] == 12).all()
    everywhere = np.column_stack([at, np.zeros(len(at)), np.full(len(at), 70.0), np.zeros(len(at))])
    blocked = Search(settings, rules(clear=everywhere), parts, (first,), 0, 0, given=len(everywhere))
    again = searches_again(blocked, Troubles((), rows[:1]), Scratch(tmp_path), quiet_pool())
    assert list(again) == [], "what was asked for is not passed nearer"


def test_no_way_to_go_on_is_tried_twice(tmp_path, monkeypatch):
    """Where a cut can be moved off a place there are two ways on, as far off as asked and nearer, each settled once."""
    settings = Settings.model_validate({"name": "x", "body": {"file": "x.stl", "units": "mm"}})
    parts = (CellToCut(SimpleNamespace(id="X"), shell_of(plate(700, 280))),)
    (first,) = _search(parts, rules(), Scratch(tmp_path), quiet_pool())
    row = np.array([[first.planes[0].offset, 140.0, 0.0, 30.0, 0.0]])
    calls = []
    settled = seam_search._settled
    monkeypatch.setattr(seam_search, "_settled", lambda *given: calls.append(0) or settled(*given))
    search = Search(settings, rules(), parts, (first,), 0, 0, given=0)
    found = list(searches_again(search, Troubles((), row), Scratch(tmp_path), quiet_pool()))
    assert [one.rules.clear[0, 3] for one in found] == [30, 12] and len(calls) == 2
