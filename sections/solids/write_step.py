"""STEP AP242, exact or tessellated, by OCC.

Written without its curves on surfaces, the body itself came back triangulated otherwise, and labels moved; only
sections are written so. `write.step.product.name` appends counters: files go through XCAF.
"""

from __future__ import annotations

import tempfile
from dataclasses import dataclass
from pathlib import Path

from OCP.APIHeaderSection import APIHeaderSection_MakeHeader
from OCP.BRep import BRep_Builder
from OCP.BRepPrimAPI import BRepPrimAPI_MakeSphere
from OCP.gp import gp_Pnt
from OCP.IFSelect import IFSelect_RetDone
from OCP.Interface import Interface_Static
from OCP.Poly import Poly_Triangle, Poly_Triangulation
from OCP.Quantity import Quantity_Color, Quantity_TOC_sRGB
from OCP.STEPCAFControl import STEPCAFControl_Writer
from OCP.STEPControl import STEPControl_AsIs
from OCP.TCollection import TCollection_ExtendedString, TCollection_HAsciiString
from OCP.TDataStd import TDataStd_Name
from OCP.TDocStd import TDocStd_Document
from OCP.TopLoc import TopLoc_Location
from OCP.TopoDS import TopoDS_Face, TopoDS_Shape, TopoDS_Shell
from OCP.XCAFDoc import XCAFDoc_ColorSurf, XCAFDoc_DocumentTool

from sections.errors import BuildFailed
from sections.numbers.frame import Frame
from sections.numbers.mesh import Mesh
from sections.solids.placing import placing
from sections.solids.quiet import quiet_occ
from sections.solids.step_join import WrittenPart, with_parts
from sections.solids.step_order import colours_in_order

_AP242 = "AP242DIS"
# A time stamp is required in the header; a fixed one lets two builders compare files byte for byte.
_NO_CLOCK = "2000-01-01T00:00:00"


@dataclass(frozen=True)
class AssemblyPart:
    """One kind of part of an assembly: its name, its shape or what its STEP file holds of it, where it stands (frames;
    its own where there are none) and its colour (red, green, blue, 0 to 1)."""

    name: str
    shape: TopoDS_Shape | WrittenPart
    places: tuple[Frame, ...]
    colour: tuple[float, float, float]


def tessellated_step_bytes(mesh: Mesh, name: str) -> bytes:
    """Return the mesh as STEP AP242 with a tessellated shell, millimetres, under a product name."""
    return step_bytes(tessellated_shape(mesh), name)


def tessellated_shape(mesh: Mesh) -> TopoDS_Shape:
    """Return a shell of one face that carries the mesh and no surface."""
    triangulation = Poly_Triangulation(len(mesh.vertices), len(mesh.faces), False)
    for number, point in enumerate(mesh.vertices.tolist(), 1):
        triangulation.SetNode(number, gp_Pnt(*point))
    for number, corners in enumerate((mesh.faces + 1).tolist(), 1):
        triangulation.SetTriangle(number, Poly_Triangle(*corners))
    builder, face, shell = BRep_Builder(), TopoDS_Face(), TopoDS_Shell()
    builder.MakeFace(face, triangulation)
    builder.MakeShell(shell)
    builder.Add(shell, face)
    return shell


def write_assembly(parts: list[AssemblyPart], name: str, path: Path) -> None:
    """Write one STEP AP242 file with all parts, each with its name, colour and places. Raises BuildFailed."""
    document = _document()
    shapes = XCAFDoc_DocumentTool.ShapeTool_s(document.Main())
    colours = XCAFDoc_DocumentTool.ColorTool_s(document.Main())
    whole = shapes.NewShape()
    _name(whole, name)
    for part in parts:
        shape = BRepPrimAPI_MakeSphere(1.0).Shape() if isinstance(part.shape, WrittenPart) else part.shape
        label = shapes.AddShape(shape, False)
        _name(label, part.name)
        colours.SetColor(label, Quantity_Color(*part.colour, Quantity_TOC_sRGB), XCAFDoc_ColorSurf)
        for number, place in enumerate(part.places or (None,), 1):
            component = shapes.AddComponent(
                whole, label, TopLoc_Location() if place is None else TopLoc_Location(placing(place))
            )
            _name(component, part.name if len(part.places) < 2 else f"{part.name} {number}")
    shapes.UpdateAssemblies()
    _write(document, name, path, lean=True)
    written = {part.name: part.shape for part in parts if isinstance(part.shape, WrittenPart)}
    pieces = with_parts(colours_in_order(path.read_bytes()), written)
    with path.open("wb") as file:
        file.writelines(pieces)


def step_bytes(shape: TopoDS_Shape, name: str, *, lean: bool = False) -> bytes:
    """Return a shape as STEP AP242, millimetres, under a product name.

    Equal shapes give equal bytes: the header carries no clock and no counter. lean : without the curves on surfaces,
    which a reader can compute anew from those in space; half the length.
    """
    document = _document()
    label = XCAFDoc_DocumentTool.ShapeTool_s(document.Main()).AddShape(shape, False)
    _name(label, name)
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "shape.step"
        _write(document, name, path, lean=lean)
        return path.read_bytes()


def _document() -> TDocStd_Document:
    quiet_occ()
    return TDocStd_Document(TCollection_ExtendedString("XmlXCAF"))


def _name(label, name: str) -> None:
    TDataStd_Name.Set_s(label, TCollection_ExtendedString(name))


def _write(document: TDocStd_Document, name: str, path: Path, *, lean: bool) -> None:
    writer = STEPCAFControl_Writer()
    writer.SetNameMode(True)
    writer.SetColorMode(True)
    Interface_Static.SetCVal_s("write.step.schema", _AP242)
    Interface_Static.SetCVal_s("write.step.unit", "MM")
    # Triangles of what has no exact faces, and of nothing else.
    Interface_Static.SetIVal_s("write.step.tessellated", 2)
    Interface_Static.SetIVal_s("write.surfacecurve.mode", 0 if lean else 1)
    if not writer.Transfer(document, STEPControl_AsIs):
        raise BuildFailed(f"{name}: the CAD kernel could not turn the shape into STEP")
    header = APIHeaderSection_MakeHeader(writer.ChangeWriter().Model())
    header.SetName(TCollection_HAsciiString(name))
    header.SetTimeStamp(TCollection_HAsciiString(_NO_CLOCK))
    header.SetOriginatingSystem(TCollection_HAsciiString("Body Sections"))
    if writer.Write(str(path)) != IFSelect_RetDone:
        raise BuildFailed(f"{name}: the CAD kernel could not write STEP")
