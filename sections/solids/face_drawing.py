"""Lines drawn on a face: corners carried to it along an upright, joined straight in its surface's parameters."""

from __future__ import annotations

import numpy as np
import shapely
from OCP.BRep import BRep_Builder, BRep_Tool
from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeEdge, BRepBuilderAPI_MakeVertex, BRepBuilderAPI_MakeWire
from OCP.Geom import Geom_BSplineCurve, Geom_Curve, Geom_Line
from OCP.Geom2d import Geom2d_BSplineCurve
from OCP.gp import gp_Dir, gp_Lin, gp_Pnt, gp_Pnt2d, gp_Vec
from OCP.IntCurvesFace import IntCurvesFace_Intersector
from OCP.TColgp import TColgp_Array1OfPnt, TColgp_Array1OfPnt2d
from OCP.TColStd import TColStd_Array1OfInteger, TColStd_Array1OfReal
from OCP.TopoDS import TopoDS_Edge, TopoDS_Face, TopoDS_Vertex, TopoDS_Wire

from sections.errors import NotExact
from sections.numbers.frame import Frame
from sections.solids.print_solid import BOW
from sections.solids.spline_face import knot_arrays

# mm; an edge in space that is nearer than _STRAIGHT to the line on the surface is straight, none is further than
# _FOLLOWED from it.
_STRAIGHT, _FOLLOWED = 2e-4, 2e-3
_BETWEEN = np.linspace(0, 1, 7)[1:-1, None]
_TOLERANCE = 1e-7


class FaceDrawing:
    """Closed lines on one face, given in the x, y of a frame whose z is the upright."""

    def __init__(self, face: TopoDS_Face, frame: Frame):
        self.face = face
        self.surface = BRep_Tool.Surface_s(face)
        self._frame = frame
        self._meeting = IntCurvesFace_Intersector(face, _TOLERANCE)

    def meets(self, x: float, y: float) -> tuple[float, float] | None:
        """Return the surface's parameters where the upright over x, y meets the face; None unless it does once."""
        foot = self._frame.to_world(np.array([[x, y, 0.0]]))[0]
        self._meeting.Perform(gp_Lin(gp_Pnt(*foot.tolist()), gp_Dir(*self._frame.z)), -BOW, BOW)
        if not (self._meeting.IsDone() and self._meeting.NbPnt() == 1):
            return None
        return self._meeting.UParameter(1), self._meeting.VParameter(1)

    def polygon(self, part: shapely.Polygon) -> shapely.Polygon:
        """Return a polygon in the surface's parameters, its outer ring against the clock, its inner ones with it.

        Raises NotExact when a corner is not on the face.
        """
        rings = [self._parameters(np.asarray(ring.coords)[:-1]) for ring in (part.exterior, *part.interiors)]
        return shapely.geometry.polygon.orient(shapely.Polygon(rings[0], rings[1:]))

    def _parameters(self, corners: np.ndarray) -> np.ndarray:
        found = [self.meets(x, y) for x, y in corners.tolist()]
        if None in found:
            raise NotExact("its label does not lie on one face of its wall")
        return np.array(found)

    def wire(self, ring: shapely.LinearRing) -> TopoDS_Wire:
        """Return a closed line through corners given in the surface's parameters."""
        corners = np.asarray(ring.coords)[:-1]
        vertices = [BRepBuilderAPI_MakeVertex(self.surface.Value(*corner)).Vertex() for corner in corners.tolist()]
        wire = BRepBuilderAPI_MakeWire()
        for n, (start, end) in enumerate(zip(corners, np.roll(corners, -1, axis=0), strict=True)):
            for edge in self._edges(start, end, vertices[n], vertices[(n + 1) % len(vertices)]):
                wire.Add(edge)
        return wire.Wire()

    def _edges(
        self, start: np.ndarray, end: np.ndarray, first: TopoDS_Vertex, last: TopoDS_Vertex
    ) -> list[TopoDS_Edge]:
        """Return the edges that are straight in the surface's parameters between two of its points.

        In space each is a cubic with the same ends and tangents; a straight line where that is as good.
        """
        poles = self._cubic(start, end)
        length = float(np.linalg.norm(poles[3] - poles[0]))
        true = np.array([self.surface.Value(*(start + t * (end - start)).tolist()).Coord() for t in _BETWEEN[:, 0]])
        straight = poles[0] + _BETWEEN * (poles[3] - poles[0])
        off = float(np.linalg.norm(straight - true, axis=1).max())
        if off < _STRAIGHT:
            curve: Geom_Curve = Geom_Line(gp_Pnt(*poles[0].tolist()), gp_Dir(*(poles[3] - poles[0]).tolist()))
        else:
            curve = Geom_BSplineCurve(_points(poles), *_one_span(length, 3))
            followed = np.array([curve.Value(float(t)).Coord() for t in length * _BETWEEN[:, 0]])
            off = float(np.linalg.norm(followed - true, axis=1).max())
        if off > _FOLLOWED:
            middle = (start + end) / 2
            between = BRepBuilderAPI_MakeVertex(self.surface.Value(*middle.tolist())).Vertex()
            return self._edges(start, middle, first, between) + self._edges(middle, end, between, last)
        line = Geom2d_BSplineCurve(_points_2d(np.array([start, end])), *_one_span(length, 1))
        made = BRepBuilderAPI_MakeEdge(line, self.surface, first, last, 0.0, length)
        if not made.IsDone():
            raise NotExact("the CAD kernel could not draw its label")
        BRep_Builder().UpdateEdge(made.Edge(), curve, max(2 * off, _TOLERANCE))
        return [made.Edge()]

    def _cubic(self, start: np.ndarray, end: np.ndarray) -> np.ndarray:
        """Return the four control points, (4, 3) mm, of the cubic over a line in the parameters."""
        way, (ends, tangents) = end - start, ([], [])
        for at in (start, end):
            point, u, v = gp_Pnt(), gp_Vec(), gp_Vec()
            self.surface.D1(*at.tolist(), point, u, v)
            ends.append(np.array(point.Coord()))
            tangents.append(way[0] * np.array(u.Coord()) + way[1] * np.array(v.Coord()))
        return np.array([ends[0], ends[0] + tangents[0] / 3, ends[1] - tangents[1] / 3, ends[1]])


def _points(poles: np.ndarray) -> TColgp_Array1OfPnt:
    array = TColgp_Array1OfPnt(1, len(poles))
    for n, pole in enumerate(poles.tolist(), 1):
        array.SetValue(n, gp_Pnt(*pole))
    return array


def _points_2d(poles: np.ndarray) -> TColgp_Array1OfPnt2d:
    array = TColgp_Array1OfPnt2d(1, len(poles))
    for n, pole in enumerate(poles.tolist(), 1):
        array.SetValue(n, gp_Pnt2d(*pole))
    return array


def _one_span(length: float, degree: int) -> tuple[TColStd_Array1OfReal, TColStd_Array1OfInteger, int]:
    """Return the knots 0 and `length`, their multiplicities, and the degree, of a spline that is one polynomial."""
    return *knot_arrays(np.repeat([0.0, length], degree + 1)), degree
