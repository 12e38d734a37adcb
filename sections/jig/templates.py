"""Contour templates for finishing by hand, held against the skin from the side at a ruled gap."""

from __future__ import annotations

import numpy as np
import shapely
from shapely import LineString, MultiPolygon, affinity, box

from sections.errors import PARAMETERS, BadInput, Problem
from sections.jig.contour import lifted, shadow
from sections.jig.sheet_part import SheetPart, line, text, whole
from sections.jig.stations import ACROSS, Ground
from sections.numbers.frame import make_frame
from sections.settings.jig import JigTable
from sections.solids.planar import as_multipolygon

# mm: how wide a template is outside its edge; between levels cut in, and how long such a line is.
_WIDE, _LEVELS, _LINE = 70.0, 100.0, 25.0
_FAR, _QUARTER = 1e5, 32


def templates_of(ground: Ground, jig: JigTable, *, both: bool) -> list[SheetPart]:
    """Return the templates asked for: of the right side, and the left where `both` sides differ. Raises BadInput for a
    station past the body's ends."""
    made = []
    for number, x in enumerate(jig.templates, 1):
        frame = make_frame(np.array([x, 0.0, 0.0]), ACROSS)
        shape = shadow(ground.body, frame, jig.thickness)
        if shape.is_empty:
            low, high = ground.bounds[:, 0]
            limit = f"between {low:.0f} and {high:.0f}, the body's ends"
            raise BadInput([Problem(PARAMETERS, f"jig.templates[{number}]", f"{x:g}", limit, "move it")])
        for name, side in (("right", 1), ("left", -1)) if both else (("right", 1),):
            outline, marks = _template(shape, ground.middle, side, f"T{number} X{x:g}", jig)
            made.append(
                SheetPart(f"template-{number}-{name}", frame, jig.thickness, outline, marks, follows=jig.template_gap)
            )
    return made


def _template(shape: MultiPolygon, middle: float, side: int, words: str, jig: JigTable):
    """Return (outline, marks) of a template of one side: outside the skin from the body's lowest place up and over to
    its middle, and free to be taken off sideways."""
    way = _toward_middle(shape, side)
    left, low, right, high = shape.bounds
    clear = way.buffer(jig.template_gap, quad_segs=_QUARTER)
    edge = right if side > 0 else left
    region = box(min(middle, side * _FAR), low, max(middle, side * _FAR), _FAR)
    outside = shape.buffer(jig.template_gap + _WIDE, quad_segs=_QUARTER) & region
    foot = (edge + side * (jig.template_gap + _WIDE / 2), low)
    outline = whole(outside - clear, foot)
    marks = [text(words, (edge + side * (jig.template_gap + 5) - (0 if side > 0 else 55), low + 5))]
    for level in np.arange(np.ceil(low / _LEVELS) * _LEVELS, high, _LEVELS):
        marks += _level(outline, float(level), side)
    return outline, tuple(marks)


def _toward_middle(shape: MultiPolygon, side: int) -> shapely.Geometry:
    """Return all that an outline passes through when it is moved away from a template of one side."""
    turned = as_multipolygon(affinity.affine_transform(shape, [0, 1, -side, 0, 0, 0]))
    return affinity.affine_transform(lifted(turned, _FAR), [0, -side, 1, 0, 0, 0])


def _level(outline: shapely.Polygon, level: float, side: int) -> list[shapely.Geometry]:
    """Return a line at a level from a template's outer edge inward, where it has one there."""
    met = LineString([(-_FAR, level), (_FAR, level)]) & outline.buffer(-1.0)
    if met.is_empty:
        return []
    left, _, right, _ = met.bounds
    outer = right if side > 0 else left
    inner = outer - side * min(_LINE, right - left)
    return [line((inner, level), (outer, level))]
