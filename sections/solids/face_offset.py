"""Faces that hang together moved along their normals, gaps at edges closed by arcs, by OCC."""

from __future__ import annotations

from OCP.BRep import BRep_Builder
from OCP.BRepAdaptor import BRepAdaptor_Surface
from OCP.BRepCheck import BRepCheck_Analyzer
from OCP.BRepOffset import BRepOffset_Skin
from OCP.BRepOffsetAPI import BRepOffsetAPI_MakeOffsetShape
from OCP.GeomAbs import GeomAbs_Arc, GeomAbs_Cone, GeomAbs_Cylinder, GeomAbs_Plane, GeomAbs_Sphere, GeomAbs_Torus
from OCP.Standard import Standard_Failure
from OCP.TopAbs import TopAbs_FACE
from OCP.TopoDS import TopoDS, TopoDS_Shape, TopoDS_Shell

from sections.errors import BuildFailed
from sections.solids.brep_parts import explore

Face = TopoDS_Shape
_SIMPLE = (GeomAbs_Plane, GeomAbs_Cylinder, GeomAbs_Cone, GeomAbs_Sphere, GeomAbs_Torus)
# mm; how closely what is moved meets.
_CLOSE = 1e-4


def is_simple(face: Face) -> bool:
    """Return whether a face is plane, cylinder, cone, ball or torus: moved, it is of the same kind."""
    return BRepAdaptor_Surface(TopoDS.Face_s(face)).GetType() in _SIMPLE


def shell_of(faces: list[Face]) -> TopoDS_Shell:
    """Return faces that share their edges as one shell."""
    builder, shell = BRep_Builder(), TopoDS_Shell()
    builder.MakeShell(shell)
    for face in faces:
        builder.Add(shell, face)
    return shell


def moved_inward(faces: list[Face], depth: float) -> list[Face]:
    """Return the faces, those of a solid that share their edges, moved `depth` mm into it, and what closes the gaps
    along edges that point inward: all that lies just so far below them. Raises BuildFailed."""
    making = BRepOffsetAPI_MakeOffsetShape()
    try:
        making.PerformByJoin(shell_of(faces), -depth, _CLOSE, BRepOffset_Skin, False, False, GeomAbs_Arc, False)
        made = making.Shape() if making.IsDone() else None
    except Standard_Failure as error:
        raise BuildFailed(f"the CAD kernel cannot move faces by {depth:g} mm: {error}") from None
    if made is None or made.IsNull() or not BRepCheck_Analyzer(made).IsValid():
        raise BuildFailed(f"the CAD kernel cannot move faces by {depth:g} mm")
    return explore(made, TopAbs_FACE)
