"""Solids that OCC itself calls invalid: repaired by its own tools, and measured before and after."""

from __future__ import annotations

from dataclasses import dataclass

from OCP.BRepCheck import BRepCheck_Analyzer
from OCP.ShapeFix import ShapeFix_Shape
from OCP.TopAbs import TopAbs_SOLID
from OCP.TopoDS import TopoDS_Shape

from sections.errors import BuildFailed
from sections.solids.brep_parts import explore
from sections.solids.distance import MeshDistance
from sections.solids.step_read import outward, solid_volume
from sections.solids.tessellate import tessellate

_SAMPLES = 5000


@dataclass(frozen=True)
class Healed:
    """A solid, and what was done to it in words; "" where nothing was wrong with it."""

    solid: TopoDS_Shape
    text: str


def healed(solid: TopoDS_Shape, deviation: float, what: str) -> Healed:
    """Return a solid made valid, where OCC can do that and moves no face by more than `deviation` mm; else as it is."""
    if BRepCheck_Analyzer(solid).IsValid():
        return Healed(solid, "")
    said = "the CAD kernel calls a solid invalid"
    fixing = ShapeFix_Shape(solid)
    fixing.Perform()
    made = [outward(one) for one in explore(fixing.Shape(), TopAbs_SOLID)]
    if len(made) != 1 or not BRepCheck_Analyzer(made[0]).IsValid():
        return Healed(solid, f"{said} and cannot heal it; it is taken as it is")
    try:
        points = tessellate(solid, deviation, what).sample(_SAMPLES, seed=5).points
        off = float(MeshDistance(tessellate(made[0], deviation, what).mesh).unsigned(points).max())
    except BuildFailed as error:
        return Healed(solid, f"{said}; what healing would move cannot be measured ({error}); it is taken as it is")
    volumes = f"{solid_volume(outward(solid)) / 1e6:.6g} l before, {solid_volume(made[0]) / 1e6:.6g} l after"
    if off > 2 * deviation:
        return Healed(solid, f"{said}; healing would move it by {off:.3g} mm; it is taken as it is")
    # Both are triangulated, each within the deviation.
    return Healed(made[0], f"{said}; healed: {volumes}, faces moved by at most {off:.3g} mm, as triangulated")
