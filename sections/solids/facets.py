"""A planar-faced B-rep of a mesh: every program reads it, whether or not it knows tessellated shapes."""

from __future__ import annotations

from OCP.BRep import BRep_Builder
from OCP.BRepBuilderAPI import (
    BRepBuilderAPI_MakeEdge,
    BRepBuilderAPI_MakeFace,
    BRepBuilderAPI_MakeVertex,
)
from OCP.gp import gp_Dir, gp_Pln, gp_Pnt
from OCP.TopoDS import TopoDS, TopoDS_Shape, TopoDS_Wire

from sections.numbers.halve import number_edges
from sections.numbers.mesh import Mesh
from sections.solids.brep_parts import solid_of
from sections.solids.exact_solid import ExactSolid
from sections.solids.print_solid import PrintSolid


def faceted(solid: PrintSolid, deviation: float) -> ExactSolid:
    """Return a solid's mesh, simplified by at most `deviation` mm, as a B-rep with a plane for every triangle.

    (Making one face of triangles that nearly lie in one plane left OCC with faces that are not valid.)
    """
    return ExactSolid(_brep(solid.simplified(deviation).mesh()))


def _brep(mesh: Mesh) -> TopoDS_Shape:
    """Return one solid of the triangles of a closed mesh, corners and edges shared."""
    builder, faces = BRep_Builder(), []
    corners = [BRepBuilderAPI_MakeVertex(gp_Pnt(*point)).Vertex() for point in mesh.vertices.tolist()]
    edges = number_edges(mesh.faces, len(mesh.vertices))
    lines = [BRepBuilderAPI_MakeEdge(corners[a], corners[b]).Edge() for a, b in edges.ends.tolist()]
    normals, points = mesh.normals.tolist(), mesh.vertices[mesh.faces[:, 0]].tolist()
    ends, starts = edges.ends.tolist(), mesh.faces[:, [1, 2, 0]].tolist()
    for face, numbers in enumerate(edges.number.tolist()):
        wire = TopoDS_Wire()
        builder.MakeWire(wire)
        for start, number in zip(starts[face], numbers, strict=True):
            line = lines[number]
            builder.Add(wire, line if ends[number][0] == start else TopoDS.Edge_s(line.Reversed()))
        wire.Closed(True)
        plane = gp_Pln(gp_Pnt(*points[face]), gp_Dir(*normals[face]))
        faces.append(BRepBuilderAPI_MakeFace(plane, wire, True).Face())
    return solid_of(faces)
