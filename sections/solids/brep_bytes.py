"""Shapes of the CAD kernel as bytes: for other processes, and for what is kept."""

from __future__ import annotations

from io import BytesIO

from OCP.BinTools import BinTools
from OCP.TopoDS import TopoDS_Shape


def brep_bytes(shape: TopoDS_Shape) -> bytes:
    """Return a shape in OCC's own binary format."""
    stream = BytesIO()
    BinTools.Write_s(shape, stream)
    return stream.getvalue()


def shape_of_brep(content: bytes) -> TopoDS_Shape:
    """Return the shape that brep_bytes was given."""
    shape = TopoDS_Shape()
    BinTools.Read_s(shape, BytesIO(content))
    return shape
