"""Walking through a B-rep."""

import cadquery as cq
from OCP.BRep import BRep_Builder
from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeEdge, BRepBuilderAPI_MakeWire
from OCP.BRepCheck import BRepCheck_Analyzer
from OCP.gp import gp_Pnt
from OCP.TopAbs import TopAbs_FACE, TopAbs_INTERNAL, TopAbs_WIRE
from OCP.TopoDS import TopoDS

from sections.solids.brep_parts import explore, unified
from sections.solids.step_read import solid_volume


def test_a_line_left_within_a_face_is_taken_out():
    """The top of a box, drawn on as OCC does where a cutting face touches it: an edge inside, oriented as internal."""
    box = cq.Solid.makeBox(30, 20, 10).wrapped
    top = next(TopoDS.Face_s(f) for f in explore(box, TopAbs_FACE) if cq.Face(f).Center().z == 10)
    line = BRepBuilderAPI_MakeWire(BRepBuilderAPI_MakeEdge(gp_Pnt(5, 5, 10), gp_Pnt(20, 12, 10)).Edge()).Wire()
    top.TShape().Free(True)
    BRep_Builder().Add(top, TopoDS.Wire_s(line.Oriented(TopAbs_INTERNAL)))
    assert len(explore(box, TopAbs_WIRE)) == 7, "it is there: six faces' rims and the line"
    plain = unified(box)
    assert len(explore(plain, TopAbs_WIRE)) == 6 and BRepCheck_Analyzer(plain).IsValid()
    assert solid_volume(plain) == 6000
