"""Walking through a B-rep: its parts, points on its edges and faces, one boundary around several pieces."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np
from OCP.BOPTools import BOPTools_AlgoTools3D
from OCP.BRep import BRep_Builder
from OCP.BRepAdaptor import BRepAdaptor_Curve, BRepAdaptor_Surface
from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeSolid
from OCP.BRepLProp import BRepLProp_SLProps
from OCP.BRepTools import BRepTools_ReShape
from OCP.gp import gp_Pnt, gp_Pnt2d
from OCP.IntTools import IntTools_Context
from OCP.ShapeUpgrade import ShapeUpgrade_UnifySameDomain
from OCP.TopAbs import TopAbs_EDGE, TopAbs_FACE, TopAbs_INTERNAL, TopAbs_REVERSED, TopAbs_WIRE
from OCP.TopExp import TopExp_Explorer
from OCP.TopoDS import TopoDS, TopoDS_Edge, TopoDS_Face, TopoDS_Shape, TopoDS_Shell

# mm, rad; faces that lie on one surface to this much are made one.
_SAME_MM, _SAME_RAD = 1e-4, 1e-4


def explore(shape: TopoDS_Shape, kind, avoid=None) -> list[TopoDS_Shape]:
    """Return the parts of one kind in a shape, those within a part of the kind `avoid` left out."""
    explorer = TopExp_Explorer(shape, kind) if avoid is None else TopExp_Explorer(shape, kind, avoid)
    found = []
    while explorer.More():
        found.append(explorer.Current())
        explorer.Next()
    return found


def curve_points(edge: TopoDS_Edge, count: int) -> np.ndarray:
    """Return points (count, 3), mm, from one end of an edge to the other."""
    curve = BRepAdaptor_Curve(edge)
    steps = np.linspace(curve.FirstParameter(), curve.LastParameter(), count)
    return np.array([curve.Value(float(step)).Coord() for step in steps])


def outward_normal(face: TopoDS_Face, u: float, v: float) -> np.ndarray | None:
    """Return the unit normal of a face at its parameters, out of the solid it bounds, or None where there is none."""
    local = BRepLProp_SLProps(BRepAdaptor_Surface(face), u, v, 1, 1e-9)
    if not local.IsNormalDefined():
        return None
    normal = np.array(local.Normal().Coord())
    return -normal if face.Orientation() == TopAbs_REVERSED else normal


def points_below_faces(solid: TopoDS_Shape, depth: float) -> np.ndarray:
    """Return one point for each face of a solid, (n, 3), `depth` mm below its middle."""
    context = IntTools_Context()
    points = []
    for face in map(TopoDS.Face_s, explore(solid, TopAbs_FACE)):
        place, at = gp_Pnt(), gp_Pnt2d()
        if BOPTools_AlgoTools3D.PointInFace_s(face, place, at, context) != 0:
            continue
        normal = outward_normal(face, at.X(), at.Y())
        if normal is not None:
            points.append(np.array(place.Coord()) - depth * normal)
    return np.array(points).reshape(-1, 3)


def boundary_of(solids: list[TopoDS_Shape]) -> TopoDS_Shape:
    """Return the one solid that several make which share the faces between them: those faces are left out.

    Faces of one surface that the pieces had parted stay parted: see unified().
    """
    uses: dict = {}
    for solid in solids:
        for face in explore(solid, TopAbs_FACE):
            uses.setdefault(face.TShape(), []).append(face)
    return solid_of(faces[0] for faces in uses.values() if len(faces) == 1)


def solid_of(faces: Iterable[TopoDS_Shape]) -> TopoDS_Shape:
    """Return the solid that faces bound which share their edges and leave no gap; nothing is sewn or looked at."""
    builder, shell = BRep_Builder(), TopoDS_Shell()
    builder.MakeShell(shell)
    for face in faces:
        builder.Add(shell, face)
    shell.Closed(True)
    return BRepBuilderAPI_MakeSolid(shell).Solid()


def unified(shape: TopoDS_Shape) -> TopoDS_Shape:
    """Return the shape with neighbouring faces of one surface made one, and edges of one curve.

    Lines that OCC leaves within a face, where a face it was cut with only touched it, are taken out.
    """
    work = ShapeUpgrade_UnifySameDomain(shape, True, True, False)
    work.SetLinearTolerance(_SAME_MM)
    work.SetAngularTolerance(_SAME_RAD)
    work.Build()
    return _without_loose_lines(work.Shape())


def _without_loose_lines(shape: TopoDS_Shape) -> TopoDS_Shape:
    reshaping, found = BRepTools_ReShape(), False
    for face in explore(shape, TopAbs_FACE):
        for wire in explore(face, TopAbs_WIRE):
            if all(edge.Orientation() == TopAbs_INTERNAL for edge in explore(wire, TopAbs_EDGE)):
                reshaping.Remove(wire)
                found = True
    return reshaping.Apply(shape) if found else shape
