"""STEP AP242, exact or tessellated, by OCC."""

from __future__ import annotations

import tempfile
from pathlib import Path

from OCP.APIHeaderSection import APIHeaderSection_MakeHeader
from OCP.BRep import BRep_Builder
from OCP.gp import gp_Pnt
from OCP.IFSelect import IFSelect_RetDone
from OCP.Interface import Interface_Static
from OCP.Poly import Poly_Triangle, Poly_Triangulation
from OCP.STEPCAFControl import STEPCAFControl_Writer
from OCP.STEPControl import STEPControl_AsIs
from OCP.TCollection import TCollection_ExtendedString, TCollection_HAsciiString
from OCP.TDataStd import TDataStd_Name
from OCP.TDocStd import TDocStd_Document
from OCP.TopoDS import TopoDS_Face, TopoDS_Shape, TopoDS_Shell
from OCP.XCAFDoc import XCAFDoc_DocumentTool

from sections.errors import BuildFailed
from sections.numbers.mesh import Mesh
from sections.solids.quiet import quiet_occ

_AP242 = "AP242DIS"
# A time stamp is required in the header; a fixed one lets two builders compare files byte for byte.
_NO_CLOCK = "2000-01-01T00:00:00"


def tessellated_step_bytes(mesh: Mesh, name: str) -> bytes:
    """Return the mesh as STEP AP242 with a tessellated shell, millimetres, under a product name."""
    triangulation = Poly_Triangulation(len(mesh.vertices), len(mesh.faces), False)
    for number, point in enumerate(mesh.vertices.tolist(), 1):
        triangulation.SetNode(number, gp_Pnt(*point))
    for number, corners in enumerate((mesh.faces + 1).tolist(), 1):
        triangulation.SetTriangle(number, Poly_Triangle(*corners))
    builder, face, shell = BRep_Builder(), TopoDS_Face(), TopoDS_Shell()
    builder.MakeFace(face, triangulation)
    builder.MakeShell(shell)
    builder.Add(shell, face)
    return _step_bytes(shell, name)


def exact_step_bytes(shape: TopoDS_Shape, name: str) -> bytes:
    """Return an exact shape as STEP AP242, millimetres, under a product name."""
    return _step_bytes(shape, name)


def _step_bytes(shape: TopoDS_Shape, name: str) -> bytes:
    """Return the file. Equal shapes give equal bytes: the header carries no clock and no counter."""
    quiet_occ()
    document = TDocStd_Document(TCollection_ExtendedString("XmlXCAF"))
    label = XCAFDoc_DocumentTool.ShapeTool_s(document.Main()).AddShape(shape, False)
    TDataStd_Name.Set_s(label, TCollection_ExtendedString(name))
    writer = STEPCAFControl_Writer()
    writer.SetNameMode(True)
    Interface_Static.SetCVal_s("write.step.schema", _AP242)
    Interface_Static.SetCVal_s("write.step.unit", "MM")
    Interface_Static.SetIVal_s("write.step.tessellated", 1)
    # Curves on surfaces can be computed anew from the curves in space; left out they halve the file.
    Interface_Static.SetIVal_s("write.surfacecurve.mode", 0)
    if not writer.Transfer(document, STEPControl_AsIs):
        raise BuildFailed(f"{name}: OCC could not turn the shape into STEP")
    header = APIHeaderSection_MakeHeader(writer.ChangeWriter().Model())
    header.SetName(TCollection_HAsciiString(name))
    header.SetTimeStamp(TCollection_HAsciiString(_NO_CLOCK))
    header.SetOriginatingSystem(TCollection_HAsciiString("Body Sections"))
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "shape.step"
        if writer.Write(str(path)) != IFSelect_RetDone:
            raise BuildFailed(f"{name}: OCC could not write STEP")
        return path.read_bytes()
