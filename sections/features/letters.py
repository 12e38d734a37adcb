"""Letters a printer can resolve: pen strokes of one width, as 2D outlines."""

from __future__ import annotations

import tomllib
from functools import cache
from importlib import resources

import shapely
from shapely import LineString, MultiPolygon, Point, affinity, box

_GRID_HEIGHT = 6.0
_GRID_WIDTH = 4.0
_ADVANCE = 6.0
_ARROW_HEAD = 0.34
# A corner of a stroke sharper than this many half widths long is cut off.
_MITRE = 2.0


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
            left = stroke + scale * _GRID_WIDTH
            cell = box(scale * place * _ADVANCE, 0.0, scale * place * _ADVANCE + left, height)
            shapes.append(_pen(points, stroke).intersection(cell))
    return shapely.union_all(shapes)


def _pen(points: list[tuple[float, float]], stroke: float) -> shapely.Polygon:
    """Return the outline of a stroke, mm, its ends square: few corners, so few triangles."""
    return LineString(points).buffer(stroke / 2, cap_style="square", join_style="mitre", mitre_limit=_MITRE)


def text_width(text: str, height: float, stroke: float) -> float:
    """Return the width of a line of text, mm."""
    scale = (height - stroke) / _GRID_HEIGHT
    return stroke + scale * ((len(text) - 1) * _ADVANCE + _GRID_WIDTH) if text else 0.0


def arrow_outline(direction: tuple[float, float], length: float, stroke: float) -> shapely.Geometry:
    """Return an arrow of unit `direction`, overall `length` mm, centred on the origin."""
    half, head = (length - stroke) / 2, _ARROW_HEAD * length
    shaft = _pen([(-half, 0), (half, 0)], stroke)
    barbs = _pen([(half - head, head), (half, 0), (half - head, -head)], stroke)
    shape = shapely.union_all([shaft, barbs]).intersection(box(-length / 2, -length, length / 2, length))
    x, y = direction
    return affinity.affine_transform(shape, [x, -y, y, x, 0, 0])


def end_on_outline(size: float, stroke: float, *, toward_viewer: bool) -> shapely.Geometry:
    """Return the sign for an arrow seen end on: a ring with a point (toward the viewer) or a cross (away)."""
    radius = (size - stroke) / 2
    ring = Point(0, 0).buffer(radius + stroke / 2, quad_segs=4) - Point(0, 0).buffer(radius - stroke / 2, quad_segs=4)
    if toward_viewer:
        mark = Point(0, 0).buffer(stroke * 0.9, quad_segs=2)
    else:
        reach = radius * 0.7
        strokes = [(-reach, -reach), (reach, reach)], [(-reach, reach), (reach, -reach)]
        mark = shapely.union_all([_pen(list(points), stroke) for points in strokes])
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
