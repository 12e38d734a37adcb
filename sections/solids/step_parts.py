"""The parts of a STEP file, with the names and layers it gives them, by OCC."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from OCP.BRep import BRep_Builder
from OCP.IFSelect import IFSelect_RetDone
from OCP.Interface import Interface_Static
from OCP.STEPCAFControl import STEPCAFControl_Reader
from OCP.TCollection import TCollection_ExtendedString
from OCP.TDataStd import TDataStd_Name
from OCP.TDF import TDF_Label, TDF_LabelSequence
from OCP.TDocStd import TDocStd_Document
from OCP.TopAbs import TopAbs_FACE, TopAbs_SHELL, TopAbs_SOLID
from OCP.TopLoc import TopLoc_Location
from OCP.TopoDS import TopoDS_Compound, TopoDS_Shape
from OCP.XCAFDoc import XCAFDoc_DocumentTool, XCAFDoc_LayerTool, XCAFDoc_ShapeTool

from sections.errors import BadInput, Problem
from sections.solids.brep_parts import explore
from sections.solids.quiet import quiet_occ

# Assemblies within assemblies; a file that nests deeper is no car.
_DEEPEST = 64


@dataclass(frozen=True)
class StepPart:
    """One solid of a file, or one shell, or faces that are in neither. kind : "solid", "shell" or "faces". names : its
    own and those of the assemblies it is in. layers : it lies on. shape : where the file places it, mm."""

    kind: str
    names: tuple[str, ...]
    layers: tuple[str, ...]
    shape: TopoDS_Shape


def step_parts(path: Path) -> list[StepPart]:
    """Return the parts of a STEP file in its own order. Raises BadInput for a file that cannot be read."""
    quiet_occ()
    document = TDocStd_Document(TCollection_ExtendedString("parts"))
    reader = STEPCAFControl_Reader()
    reader.SetNameMode(True)
    reader.SetLayerMode(True)
    Interface_Static.SetCVal_s("xstep.cascade.unit", "MM")
    if reader.ReadFile(str(path)) != IFSelect_RetDone or not reader.Transfer(document):
        limit = "a STEP file that can be read"
        raise BadInput([Problem(str(path), "body", "", limit, "export it again; the file may be cut short")])
    tool = XCAFDoc_DocumentTool.ShapeTool_s(document.Main())
    layers = XCAFDoc_DocumentTool.LayerTool_s(document.Main())
    free = TDF_LabelSequence()
    tool.GetFreeShapes(free)
    walk = _Walk(tool, layers)
    return [part for label in _listed(free) for part in walk.parts(label, TopLoc_Location(), (), ())]


def compound_of(shapes: list[TopoDS_Shape]) -> TopoDS_Shape:
    """Return several shapes as one, a single one as it is."""
    if len(shapes) == 1:
        return shapes[0]
    compound, builder = TopoDS_Compound(), BRep_Builder()
    builder.MakeCompound(compound)
    for shape in shapes:
        builder.Add(compound, shape)
    return compound


@dataclass(frozen=True)
class _Walk:
    """Goes through the labels of a document."""

    tool: XCAFDoc_ShapeTool
    layers: XCAFDoc_LayerTool

    def parts(
        self, label: TDF_Label, place: TopLoc_Location, names: tuple[str, ...], layers: tuple[str, ...]
    ) -> Iterator[StepPart]:
        """Yield the parts below a label. place, names, layers : what those above it give."""
        names, layers = names + _name(label), layers + self._layers(label)
        if len(names) > 2 * _DEEPEST:
            return
        if XCAFDoc_ShapeTool.IsReference_s(label):
            referred = TDF_Label()
            XCAFDoc_ShapeTool.GetReferredShape_s(label, referred)
            yield from self.parts(referred, place.Multiplied(XCAFDoc_ShapeTool.GetLocation_s(label)), names, layers)
        elif XCAFDoc_ShapeTool.IsAssembly_s(label):
            below = TDF_LabelSequence()
            XCAFDoc_ShapeTool.GetComponents_s(label, below, False)
            for one in _listed(below):
                yield from self.parts(one, place, names, layers)
        else:
            yield from self._of_shape(label, place, names, layers)

    def _of_shape(self, label, place, names, layers) -> Iterator[StepPart]:
        shape = XCAFDoc_ShapeTool.GetShape_s(label)
        below = TDF_LabelSequence()
        XCAFDoc_ShapeTool.GetSubShapes_s(label, below)
        own = [(XCAFDoc_ShapeTool.GetShape_s(one), _name(one), self._layers(one)) for one in _listed(below)]
        loose = explore(shape, TopAbs_FACE, TopAbs_SHELL)
        found = [("solid", solid) for solid in explore(shape, TopAbs_SOLID)]
        found += [("shell", shell) for shell in explore(shape, TopAbs_SHELL, TopAbs_SOLID)]
        found += [("faces", compound_of(loose))] if loose else []
        for kind, one in found:
            called = [(name, on) for given, name, on in own if given.IsSame(one)]
            its_names = [name for given, _ in called for name in given]
            its_layers = [name for _, given in called for name in given]
            yield StepPart(kind, _once((*names, *its_names)), _once((*layers, *its_layers)), one.Moved(place))

    def _layers(self, label: TDF_Label) -> tuple[str, ...]:
        held = self.layers.GetLayers(label)
        return () if held is None else tuple(held.Value(i).ToExtString() for i in range(1, held.Length() + 1))


def _name(label: TDF_Label) -> tuple[str, ...]:
    attribute = TDataStd_Name()
    return (attribute.Get().ToExtString(),) if label.FindAttribute(TDataStd_Name.GetID_s(), attribute) else ()


def _once(names: tuple[str, ...]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(names))


def _listed(labels: TDF_LabelSequence) -> list[TDF_Label]:
    return [labels.Value(i) for i in range(1, labels.Length() + 1)]
