"""Sheets as DXF: millimetres, closed outlines to cut through, lines to cut in."""

from __future__ import annotations

import io
from collections.abc import Iterator
from contextlib import contextmanager

import ezdxf
import numpy as np
import shapely
from ezdxf import units
from shapely import Polygon

# Layers and their colours by number in DXF: red is cut through, blue cut in, grey only the sheet.
CUT, MARK, SHEET = "CUT", "MARK", "SHEET"
_COLOURS = {CUT: 1, MARK: 5, SHEET: 8}
_DIGITS = 4


def dxf_bytes(size: tuple[float, float], cuts: list[Polygon], marks: list[shapely.Geometry]) -> bytes:
    """Return one sheet of (width, length) mm as a DXF file, equal for equal input."""
    with _undated():
        return _drawn(size, cuts, marks)


@contextmanager
def _undated() -> Iterator[None]:
    """Have the library write neither times nor random ids, while the block runs."""
    before = ezdxf.options.write_fixed_meta_data_for_testing
    ezdxf.options.write_fixed_meta_data_for_testing = True
    try:
        yield
    finally:
        ezdxf.options.write_fixed_meta_data_for_testing = before


def _drawn(size: tuple[float, float], cuts: list[Polygon], marks: list[shapely.Geometry]) -> bytes:
    drawing = ezdxf.new("R2010", units=units.MM)
    for name, colour in _COLOURS.items():
        drawing.layers.add(name, color=colour)
    space = drawing.modelspace()
    width, length = size
    _polyline(space, [(0, 0), (width, 0), (width, length), (0, length)], SHEET, closed=True)
    for cut in cuts:
        for ring in (cut.exterior, *cut.interiors):
            _polyline(space, ring.coords[:-1], CUT, closed=True)
    for mark in marks:
        for line in getattr(mark, "geoms", [mark]):
            closed = line.coords[0] == line.coords[-1]
            _polyline(space, line.coords[:-1] if closed else line.coords, MARK, closed=closed)
    stream = io.StringIO()
    drawing.write(stream)
    return stream.getvalue().encode("utf-8")


def _polyline(space, points, layer: str, *, closed: bool) -> None:
    rounded = [tuple(point) for point in np.round(np.asarray(points, float)[:, :2], _DIGITS)]
    space.add_lwpolyline(rounded, close=closed, dxfattribs={"layer": layer})
