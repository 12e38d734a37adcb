"""Exact solids made larger or smaller all round, by OCC's offset, and measured."""

from __future__ import annotations

from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeSolid
from OCP.BRepOffset import BRepOffset_Skin
from OCP.BRepOffsetAPI import BRepOffsetAPI_MakeOffsetShape
from OCP.GeomAbs import GeomAbs_Intersection
from OCP.TopAbs import TopAbs_SHELL
from OCP.TopoDS import TopoDS, TopoDS_Shape

from sections.errors import BuildFailed
from sections.solids.brep_parts import explore
from sections.solids.distance import MeshDistance
from sections.solids.exact_solid import ExactSolid

# mm; OCC's own tolerance, how far a face made may be off its place, and how closely faces are followed to see that.
_TOLERANCE, _OFF, _FOLLOWED = 1e-5, 0.02, 0.02


def grown(solid: ExactSolid, by: float, what: str) -> ExactSolid:
    """Return a solid with every face moved out by `by` mm (in, where it is less than 0), edges kept sharp.

    Nothing of it is nearer to the old faces than that, to 0.02 mm, as measured. Raises BuildFailed when OCC cannot, as
    where a rounded corner is smaller than it is to shrink by.
    """
    made = []
    for piece in solid.pieces():
        offset = BRepOffsetAPI_MakeOffsetShape()
        try:
            offset.PerformByJoin(piece.shape, by, _TOLERANCE, BRepOffset_Skin, False, False, GeomAbs_Intersection)
            done = offset.IsDone()
        except Exception as error:  # OCC reports what it cannot offset with several exception types
            raise BuildFailed(f"{what}: the CAD kernel cannot move its faces by {by:g} mm") from error
        if not done:
            raise BuildFailed(f"{what}: the CAD kernel cannot move its faces by {by:g} mm")
        made.append(_closed(offset.Shape(), what))
    result = ExactSolid.of(made)
    _measure(solid, result, by, what)
    return result


def _closed(shape: TopoDS_Shape, what: str) -> TopoDS_Shape:
    shells = explore(shape, TopAbs_SHELL)
    if len(shells) != 1:
        raise BuildFailed(f"{what}: its moved faces do not close")
    solid = BRepBuilderAPI_MakeSolid(TopoDS.Shell_s(shells[0])).Solid()
    turned = ExactSolid(solid)
    return turned.shape if turned.volume_mm3 > 0 else TopoDS.Solid_s(solid.Reversed())


def _measure(before: ExactSolid, after: ExactSolid, by: float, what: str) -> None:
    """Raise BuildFailed unless the new solid is sound and all its faces are `by` mm off the old ones, or more where an
    edge is sharp, on the side asked for."""
    if not after.is_valid:
        raise BuildFailed(f"{what}: its corners are too tight to move its faces by {by:g} mm")
    places = after.mesh(_FOLLOWED, what).triangles.mean(1)
    depth = MeshDistance(before.mesh(_FOLLOWED, what)).depth(places)
    if (-depth if by > 0 else depth).min() < abs(by) - 2 * _FOLLOWED - _OFF:
        raise BuildFailed(f"{what}: its corners are too tight to move its faces by {by:g} mm")
