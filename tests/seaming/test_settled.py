"""Where the cuts of a strip end up, in closed form."""

import math

import numpy as np
import pytest
import trimesh

from sections.seaming.junctions import Junctions
from sections.seaming.search import DEPTH, Way, begin, solve
from sections.seaming.settle import settled
from tests.seaming.test_search import NONE, plate, rules, shell_of


@pytest.mark.parametrize(("length", "count"), [(700, 2), (1000, 3), (1450, 4)])
def test_even_slices(length, count):
    """As few slices as fit, and all with the same skin: cuts at L i / n, to the 12 mm between the places looked at."""
    even = rules(weights=NONE.model_copy(update={"uneven": 0.1}))
    shell = shell_of(plate(length, 280))
    node = settled(shell, begin(shell, Way((1.0, 0.0, 0.0), 0), even, DEPTH, math.inf).node, even, Junctions(100.0))
    assert [plane.offset for plane in node.planes] == pytest.approx(length * np.arange(1, count) / count, abs=12)


@pytest.mark.parametrize("made", [trimesh.creation.icosphere(1, 280), trimesh.creation.box((1300, 280, 200))])
def test_work_shared_out_differently(made, monkeypatch):
    """One lot of work or seven: the same seams."""
    even = rules(weights=NONE.model_copy(update={"uneven": 0.1, "shallow": 1.0}))
    shell = shell_of(made.subdivide())
    node = solve(shell, even, DEPTH, math.inf).node
    found = []
    for lots in (1, 7):
        monkeypatch.setattr("sections.seaming.settle._LOTS", lots)
        found.append(settled(shell, node, even, Junctions(100.0)))
    assert found[0] == found[1] and found[0].planes
