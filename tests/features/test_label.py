"""Labels: whatever the name, nothing in one runs into another: each sign of it, two letters, two arrows."""

import itertools

import numpy as np
import pytest
import shapely

from sections.features.label import Label
from sections.features.letters import text_outline
from sections.numbers.frame import Frame

# On walls as a reader sees them: up is up; forward lies to the left, to the right, away, toward him.
FRAMES = {
    "left flank": Frame((0.0, 0.0, 0.0), (1.0, 0.0, 0.0), (0.0, 0.0, 1.0), (0.0, -1.0, 0.0)),
    "right flank": Frame((0.0, 0.0, 0.0), (-1.0, 0.0, 0.0), (0.0, 0.0, 1.0), (0.0, 1.0, 0.0)),
    "nose": Frame((0.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0), (1.0, 0.0, 0.0)),
    "tail": Frame((0.0, 0.0, 0.0), (0.0, -1.0, 0.0), (0.0, 0.0, 1.0), (-1.0, 0.0, 0.0)),
}


def parts(shape):
    return list(getattr(shape, "geoms", [shape]))


@pytest.mark.parametrize("frame", FRAMES)
@pytest.mark.parametrize("text", ["X0", "X1", "X1Y1", "X1Z0R", "X5Z2A0R", "X0C-HATCH"])
def test_nothing_runs_into_another(text, frame):
    """As many pieces as signs, letters and arrows have by themselves; none nearer to the next than half a stroke, less
    than which an extrusion fills."""
    for height, stroke, rows in itertools.product((6.0, 8.0, 12.0), (0.8, 1.2), (1, 2)):
        label = Label(text, height, stroke, 0.6, True, rows)
        outline = label.outline(FRAMES[frame])
        # An arrow that comes toward the reader is a ring and a point; one that goes away is a ring with a cross in it.
        arrows = 3 if frame == "tail" else 2
        signs = sum(len(parts(text_outline(sign, height, stroke))) for sign in text)
        assert len(parts(outline)) == signs + 2 + arrows, (text, height, stroke, rows)
        gaps = [a.distance(b) for a, b in itertools.combinations(parts(outline), 2)]
        assert min(gap for gap in gaps) >= 0.3 * stroke
        width, high = label.size
        low_x, low_y, high_x, high_y = outline.bounds
        assert high_x - low_x <= width + 1e-9 and high_y - low_y <= high + 1e-9
        assert np.allclose([low_x + high_x, low_y + high_y], 0, atol=0.7 * height)


def test_up_is_up_and_forward_is_forward():
    """On the left flank seen from inside, forward (-x) lies to the left: F stands beside an arrow that points there."""
    label = Label("X0", 8.0, 1.2, 0.6, True)
    outline = label.outline(FRAMES["left flank"])
    width, height = label.size
    lower = shapely.box(0, -height, width, -height / 2 + label.height * 1.3)
    arrow = max(parts(outline & lower), key=lambda part: part.bounds[2])
    heavy, middle = shapely.get_coordinates(arrow.centroid)[0, 0], (arrow.bounds[0] + arrow.bounds[2]) / 2
    assert heavy < middle
