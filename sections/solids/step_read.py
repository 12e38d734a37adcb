"""Reading STEP files and taking a shape apart into closed solids, by OCC."""

from __future__ import annotations

from pathlib import Path

import numpy as np
from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeSolid, BRepBuilderAPI_Transform
from OCP.BRepGProp import BRepGProp
from OCP.GProp import GProp_GProps
from OCP.IFSelect import IFSelect_RetDone
from OCP.Interface import Interface_Static
from OCP.STEPControl import STEPControl_Reader
from OCP.TColStd import TColStd_SequenceOfAsciiString
from OCP.TopoDS import TopoDS_Shape

from sections.errors import BadInput, Problem
from sections.solids.placing import trsf_of
from sections.solids.quiet import quiet_occ
from sections.solids.sewing import Boundaries

# The names STEP and OCC use for a length unit, and ours.
_UNIT_NAMES = {
    "millimetre": "mm", "millimeter": "mm", "centimetre": "cm", "centimeter": "cm", "metre": "m", "meter": "m",
    "inch": "in", "foot": "ft",
}  # fmt: skip


def read_step(path: Path) -> tuple[TopoDS_Shape, str]:
    """Return (shape, the length unit the file states: mm, cm, m, in, ft or "?").

    Whatever the unit, OCC hands the shape over in millimetres. Raises BadInput for a file that cannot be read.
    """
    quiet_occ()
    reader = STEPControl_Reader()
    Interface_Static.SetCVal_s("xstep.cascade.unit", "MM")
    if reader.ReadFile(str(path)) != IFSelect_RetDone:
        raise _refused(path, "a STEP file that can be read", "export it again; the file may be cut short")
    lengths, angles, solid_angles = (TColStd_SequenceOfAsciiString() for _ in range(3))
    reader.FileUnits(lengths, angles, solid_angles)
    names = {lengths.Value(i).ToCString().lower() for i in range(1, lengths.Length() + 1)}
    if len(names) > 1:
        raise _refused(path, f"one length unit; the file states {', '.join(sorted(names))}", "export in one unit")
    reader.TransferRoots()
    shape = reader.OneShape()
    if shape is None or shape.IsNull():
        raise _refused(path, "a STEP file with a shape in it", "export the body as a solid")
    return shape, _UNIT_NAMES.get(next(iter(names), "?"), "?")


def closed_solids(shape: TopoDS_Shape, what: str) -> list[TopoDS_Shape]:
    """Return the solids of a shape, each turned the right way out; closed shells count as solids.

    Raises BadInput for a shape with open shells, loose faces, or none of them at all.
    """
    found = Boundaries.of(shape)
    if not found.are_closed:
        limit = f"a closed solid, or a closed shell; the file holds {found}"
        take = "name what is the body in body.take, or " if found.solids or found.closed else ""
        remedy = (
            f"{take}set repair.sew, or body.open for an open skin, in a parameter file; `sections inspect` tries them "
            "and prints the lines"
        )
        raise _refused(Path(what), limit, remedy)
    solids = [*found.solids, *(BRepBuilderAPI_MakeSolid(shell).Solid() for shell in found.closed)]
    return [outward(solid) for solid in solids]


def transformed(shape: TopoDS_Shape, rotation, shift, scale: float) -> TopoDS_Shape:
    """Return the shape turned by a (3, 3) rotation, scaled by one factor and shifted by (3,) mm."""
    trsf = trsf_of(scale * np.asarray(rotation), np.asarray(shift))
    return BRepBuilderAPI_Transform(shape, trsf, True).Shape()


def solid_volume(shape: TopoDS_Shape) -> float:
    """Return the signed volume, mm3, by OCC's own integration over the exact faces."""
    properties = GProp_GProps()
    BRepGProp.VolumeProperties_s(shape, properties)
    return float(properties.Mass())


def outward(solid: TopoDS_Shape) -> TopoDS_Shape:
    """Return a solid turned the right way out: its volume is more than 0."""
    return solid.Reversed() if solid_volume(solid) < 0 else solid


def _refused(path: Path, limit: str, remedy: str) -> BadInput:
    return BadInput([Problem(str(path), "body", "", limit, remedy)])
