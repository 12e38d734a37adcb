"""What a search is limited by, and what that may not change."""

from types import SimpleNamespace

import numpy as np
import pytest

from sections.run.scratch import Scratch
from sections.run.seaming import Part, _search
from tests.conftest import quiet_pool
from tests.seaming.test_search import leaves, plate, rules, shell_of


@pytest.mark.parametrize("of_grid", [0.0, 1.2, np.inf])
def test_a_plan_dearer_than_the_grid_is_found_all_the_same(of_grid, tmp_path, monkeypatch):
    """A plate of 1100 x 560 takes six sections (as in closed form: ceil(1100 / 386) x 2), whatever an even grid takes;
    where that is the limit, and no plan is cheaper, it is looked for without."""
    monkeypatch.setattr("sections.run.seaming._OF_GRID", of_grid)
    part = Part(SimpleNamespace(id="X"), shell_of(plate(1100, 560)))
    (node,) = _search((part,), rules(), Scratch(tmp_path), quiet_pool())
    assert leaves(node) == 6


def test_none_at_all(tmp_path):
    """A flange of 24 mm is larger than any way across a room of 10."""
    (node,) = _search((Part(SimpleNamespace(id="X"), shell_of(plate(1100, 560))),), rules(np.full((1, 3), 10.0)),
                      Scratch(tmp_path), quiet_pool())  # fmt: skip
    assert node is None
