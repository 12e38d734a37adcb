"""Letters a printer can resolve: pen strokes of one width, as 2D outlines."""

from __future__ import annotations

import tomllib
from functools import cache
from importlib import resources

import shapely
from shapely import LineString, MultiPolygon, Point, affinity

_GRID_HEIGHT = 6.0
_GRID_WIDTH = 4.0
_ADVANCE = 6.0
_ARROW_HEAD = 0.34
# Straight pieces to a quarter of a stroke's round end: 0.03 mm off at a stroke of 0.8 mm.
_ROUND = 2


@cache
def text_outline(text: str, height: float, stroke: float) -> MultiPolygon | shapely.Polygon:
    """Return the outline of a line of capitals, figures, "-", "+", "." or "/", its lower left corner at the origin.

    height : mm, overall, stroke width included. stroke : mm. Raises KeyError for a character there is no drawing of.
    """
    scale = (height - stroke) / _GRID_HEIGHT
    shapes = []
    for place, letter in enumerate(text):
        for line in _strokes()[letter] if letter != " " else ():
            points = [(stroke / 2 + scale * (x + place * _ADVANCE), stroke / 2 + scale * y) for x, y in line]
            shapes.append(LineString(points).buffer(stroke / 2, quad_segs=_ROUND))
    return shapely.union_all(shapes)


def text_width(text: str, height: float, stroke: float) -> float:
    """Return the width of a line of text, mm."""
    scale = (height - stroke) / _GRID_HEIGHT
    return stroke + scale * ((len(text) - 1) * _ADVANCE + _GRID_WIDTH) if text else 0.0


def arrow_outline(direction: tuple[float, float], length: float, stroke: float) -> shapely.Geometry:
    """Return an arrow of unit `direction`, overall `length` mm, centred on the origin."""
    half, head = (length - stroke) / 2, _ARROW_HEAD * length
    shaft = LineString([(-half, 0), (half, 0)])
    barbs = LineString([(half - head, head), (half, 0), (half - head, -head)])
    shape = shapely.union_all([line.buffer(stroke / 2, quad_segs=_ROUND) for line in (shaft, barbs)])
    x, y = direction
    return affinity.affine_transform(shape, [x, -y, y, x, 0, 0])


def end_on_outline(toward_viewer: bool, size: float, stroke: float) -> shapely.Geometry:
    """Return the sign for an arrow seen end on: a ring with a point (toward the viewer) or a cross (away)."""
    radius = (size - stroke) / 2
    ring = Point(0, 0).buffer(radius, quad_segs=8).exterior.buffer(stroke / 2, quad_segs=_ROUND)
    if toward_viewer:
        mark = Point(0, 0).buffer(stroke * 0.9, quad_segs=4)
    else:
        reach = radius * 0.7
        lines = [
            LineString([(-reach, -reach), (reach, reach)]),
            LineString([(-reach, reach), (reach, -reach)]),
        ]
        mark = shapely.union_all([line.buffer(stroke / 2, quad_segs=_ROUND) for line in lines])
    return shapely.union_all([ring, mark])


@cache
def _strokes() -> dict[str, tuple[tuple[tuple[float, float], ...], ...]]:
    text = resources.files(__package__).joinpath("letters.toml").read_text("utf-8")
    return {
        letter: tuple(
            tuple(tuple(float(c) for c in point.split(",")) for point in stroke.split()) for stroke in drawn.split(";")
        )
        for letter, drawn in tomllib.loads(text).items()
    }
