"""A fitted surface as an exact face: the spline's own control points handed to OCC, nothing approximated again.

Penalised splines need divided differences at the Greville abscissae; with plain ones, clamped ends bent a plane by
0.7 mm where there were no points, and surfaces missed one another beyond a crease.
"""

from __future__ import annotations

import numpy as np
from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeFace
from OCP.Geom import Geom_BSplineSurface
from OCP.gp import gp_Ax3, gp_Dir, gp_Pln, gp_Pnt
from OCP.TColgp import TColgp_Array2OfPnt
from OCP.TColStd import TColStd_Array1OfInteger, TColStd_Array1OfReal
from OCP.TopoDS import TopoDS_Face

from sections.numbers.height_field import DEGREE, HeightField

_TOLERANCE = 1e-6
# mm; heights that differ by less are those of a plane.
_LEVEL = 1e-5


def spline_face(field: HeightField) -> TopoDS_Face:
    """Return the whole surface of a height field as one face; its normal is the frame's z. A level one is a plane."""
    if np.ptp(field.heights) < _LEVEL:
        return _level_face(field)
    poles = field.poles()
    grid = TColgp_Array2OfPnt(1, poles.shape[0], 1, poles.shape[1])
    for i, row in enumerate(poles.tolist(), 1):
        for j, pole in enumerate(row, 1):
            grid.SetValue(i, j, gp_Pnt(*pole))
    (u, u_counts), (v, v_counts) = (knot_arrays(knots) for knots in field.knots)
    surface = Geom_BSplineSurface(grid, u, v, u_counts, v_counts, DEGREE, DEGREE)
    return BRepBuilderAPI_MakeFace(surface, _TOLERANCE).Face()


def _level_face(field: HeightField) -> TopoDS_Face:
    frame = field.frame
    centre = frame.to_world(np.array([[0.0, 0.0, field.heights.mean()]]))[0]
    axes = gp_Ax3(gp_Pnt(*map(float, centre)), gp_Dir(*frame.z), gp_Dir(*frame.x))
    (left, right), (low, high) = ((float(knots[0]), float(knots[-1])) for knots in field.knots)
    return BRepBuilderAPI_MakeFace(gp_Pln(axes), left, right, low, high).Face()


def knot_arrays(vector: np.ndarray) -> tuple[TColStd_Array1OfReal, TColStd_Array1OfInteger]:
    """Return a knot vector, (k,), as OCC wants it: each knot once, and how often it stands there."""
    values, counts = np.unique(vector, return_counts=True)
    knots, multiplicities = TColStd_Array1OfReal(1, len(values)), TColStd_Array1OfInteger(1, len(values))
    for place, (value, count) in enumerate(zip(values.tolist(), counts.tolist(), strict=True), 1):
        knots.SetValue(place, value)
        multiplicities.SetValue(place, count)
    return knots, multiplicities
