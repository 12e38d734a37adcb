"""The exact solid: faces of the source's own surfaces, cut, united and clipped by OCC.

The same small protocol as the print solid's, so that cells and features are written once. OCC may return something
wrong without an error; what comes of a chain of these operations is verified by its user, against the print solid.

OCC united a wall with a standoff and its gusset that were one solid, and left the inner half of it out without an
error, in one section of four; given as two solids, never. Boolean operations that look at boxes along the faces
(`SetUseOBB`) take a third less time. Where a cutting face touches another, OCC leaves a line inside it (orientation:
internal), and a label drawn across it made a face that is not valid: `unified` takes such lines out.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path

import numpy as np
import shapely
from OCP.Bnd import Bnd_Box
from OCP.BRepAlgoAPI import BRepAlgoAPI_Common, BRepAlgoAPI_Cut, BRepAlgoAPI_Fuse, BRepAlgoAPI_Splitter
from OCP.BRepBndLib import BRepBndLib
from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeFace, BRepBuilderAPI_MakePolygon, BRepBuilderAPI_Transform
from OCP.BRepCheck import BRepCheck_Analyzer
from OCP.BRepPrimAPI import BRepPrimAPI_MakePrism
from OCP.gp import gp_Ax2, gp_Dir, gp_Pln, gp_Pnt, gp_Trsf, gp_Vec
from OCP.TopAbs import TopAbs_EDGE, TopAbs_FACE, TopAbs_SOLID
from OCP.TopoDS import TopoDS, TopoDS_Shape, TopoDS_Wire
from OCP.TopTools import TopTools_ListOfShape

from sections.errors import BuildFailed
from sections.numbers.frame import Frame, Plane
from sections.numbers.mesh import Mesh
from sections.solids.brep_bytes import brep_bytes, shape_of_brep
from sections.solids.brep_parts import curve_points, explore, unified
from sections.solids.placing import placing
from sections.solids.planar import as_multipolygon
from sections.solids.stamp import stamped
from sections.solids.step_parts import compound_of
from sections.solids.step_read import solid_volume
from sections.solids.tessellate import occ_triangles, tessellate


@dataclass(frozen=True)
class ExactSolid:
    """One or several closed B-rep solids. Every operation gives a new one; none changes its operands."""

    shape: TopoDS_Shape

    def __reduce__(self) -> tuple:
        """Return how it is made again from OCC's own binary format."""
        return _of_brep, (brep_bytes(self.shape),)

    @staticmethod
    def of(solids: Iterable[TopoDS_Shape]) -> ExactSolid:
        """Return several solids as one."""
        return ExactSolid(compound_of(list(solids)))

    @staticmethod
    def prism(outline: shapely.Geometry, low: float, high: float) -> ExactSolid:
        """Return the solid over an outline in x, y between two heights z, mm. Holes stay open."""
        solids = []
        for part in as_multipolygon(outline).geoms:
            face = BRepBuilderAPI_MakeFace(_ring(part.exterior, low), True)
            for hole in part.interiors:
                face.Add(TopoDS.Wire_s(_ring(hole, low).Reversed()))
            solids.append(BRepPrimAPI_MakePrism(face.Face(), gp_Vec(0, 0, high - low)).Shape())
        return ExactSolid.of(solids)

    @property
    def volume_mm3(self) -> float:
        """Volume, mm3, by OCC's integration; on faces of long splines good to some parts in a thousand."""
        return sum(solid_volume(solid) for solid in self._solids())

    @cached_property
    def bounds(self) -> np.ndarray:
        """Smallest and largest corner, (2, 3), mm; NaN for what is nowhere."""
        box = Bnd_Box()
        BRepBndLib.AddOptimal_s(self.shape, box, False, False)
        return _corners(box)

    @property
    def loose_bounds(self) -> np.ndarray:
        """Return bounds, (2, 3) mm, that may be too wide; found ten times as quickly."""
        box = Bnd_Box()
        BRepBndLib.Add_s(self.shape, box, False)
        return _corners(box)

    @property
    def corners(self) -> np.ndarray:
        """Its corners and some points on each of its edges, (n, 3), mm."""
        edges = [TopoDS.Edge_s(edge) for edge in explore(self.shape, TopAbs_EDGE)]
        return np.vstack([curve_points(edge, 5) for edge in edges]) if edges else np.empty((0, 3))

    @property
    def faces(self) -> list[TopoDS_Shape]:
        """The faces that bound it."""
        return explore(self.shape, TopAbs_FACE)

    @property
    def face_count(self) -> int:
        """How many faces bound it."""
        return len(self.faces)

    @property
    def is_valid(self) -> bool:
        """Whether OCC finds nothing wrong with its topology and geometry."""
        return bool(BRepCheck_Analyzer(self.shape).IsValid())

    def pieces(self) -> list[ExactSolid]:
        """Return its separate solids."""
        return [ExactSolid(solid) for solid in self._solids()]

    def mesh(self, deviation: float = 0.05, what: str = "exact solid") -> Mesh:
        """Return triangles within `deviation` mm of its faces, as measured. Raises BuildFailed."""
        return tessellate(self.shape, deviation, what, 1.0).mesh

    def quick_mesh(self, deviation: float) -> Mesh:
        """Return OCC's triangles, about `deviation` mm off its faces and here and there more."""
        return occ_triangles(self.shape, deviation)

    def split(self, plane: Plane) -> tuple[ExactSolid, ExactSolid]:
        """Return (plus side, minus side) of the plane."""
        sides: tuple[list, list] = ([], [])
        for piece in self.parted([plane_face(plane, self.loose_bounds)]):
            heights = plane.distance(piece.corners)
            sides[0 if heights.max() > -heights.min() else 1].append(piece.shape)
        return ExactSolid.of(sides[0]), ExactSolid.of(sides[1])

    def clip(self, planes: Iterable[Plane]) -> ExactSolid:
        """Return what lies on the plus side of every plane."""
        kept = self
        for plane in planes:
            kept = kept.split(plane)[0]
        return kept

    def parted(self, faces: list[TopoDS_Shape]) -> list[ExactSolid]:
        """Return the pieces that faces cut it into; pieces that were beside one another share their faces."""
        splitter = BRepAlgoAPI_Splitter()
        return ExactSolid(_result(splitter, self._solids(), faces)).pieces()

    def unite(self, others: Iterable[ExactSolid]) -> ExactSolid:
        """Return this and the others in one."""
        return ExactSolid(unified(_result(BRepAlgoAPI_Fuse(), [self.shape], [other.shape for other in others])))

    def cut(self, others: Iterable[ExactSolid]) -> ExactSolid:
        """Return this less the others."""
        tools = [solid for other in others for solid in other._solids()]
        if not tools or not self._solids():
            return self
        return ExactSolid(_result(BRepAlgoAPI_Cut(), [self.shape], tools))

    def common(self, other: ExactSolid) -> ExactSolid:
        """Return what is in both."""
        return ExactSolid(_result(BRepAlgoAPI_Common(), [self.shape], [other.shape]))

    def raised(self, outline: shapely.Geometry, frame: Frame, relief: float, bare) -> ExactSolid:
        """Return the solid with an outline, in the x, y of a frame on its inner face, raised off that face by `relief`
        mm.

        `bare` is not needed: the label is drawn on the face itself. Raises NotExact.
        """
        return ExactSolid(stamped(self.shape, outline, frame, relief))

    def sunk(self, outline: shapely.Geometry, frame: Frame, depth: float) -> ExactSolid:
        """Return the solid with an outline, in the x, y of a frame on a plane face of it, cut `depth` mm into that
        face; z of the frame is off the face. Raises NotExact."""
        return ExactSolid(stamped(self.shape, outline, frame, -depth))

    def placed(self, frame: Frame) -> ExactSolid:
        """Return the solid, given in a part's own frame, in the vehicle frame."""
        return self._transformed(placing(frame))

    def moved(self, by: np.ndarray) -> ExactSolid:
        """Return the solid shifted by a vector, mm."""
        trsf = gp_Trsf()
        trsf.SetTranslation(gp_Vec(*map(float, by)))
        return self._transformed(trsf)

    def mirrored_y(self) -> ExactSolid:
        """Return the mirror image in y = 0."""
        trsf = gp_Trsf()
        trsf.SetMirror(gp_Ax2(gp_Pnt(0, 0, 0), gp_Dir(0, 1, 0)))
        return self._transformed(trsf)

    def _transformed(self, trsf: gp_Trsf) -> ExactSolid:
        return ExactSolid(BRepBuilderAPI_Transform(self.shape, trsf, True).Shape())

    def _solids(self) -> list[TopoDS_Shape]:
        return explore(self.shape, TopAbs_SOLID)


def _corners(box: Bnd_Box) -> np.ndarray:
    return np.full((2, 3), np.nan) if box.IsVoid() else np.array(box.Get()).reshape(2, 3)


def plane_face(plane: Plane, bounds: np.ndarray) -> TopoDS_Shape:
    """Return a square face on a plane, large enough to cut all within (2, 3) bounds."""
    centre = bounds.mean(0)
    foot = centre - plane.distance(centre[None])[0] * np.asarray(plane.normal)
    reach = float(np.linalg.norm(bounds[1] - bounds[0])) + 10.0
    flat = gp_Pln(gp_Pnt(*map(float, foot)), gp_Dir(*plane.normal))
    return BRepBuilderAPI_MakeFace(flat, -reach, reach, -reach, reach).Face()


def _ring(ring: shapely.LinearRing, z: float) -> TopoDS_Wire:
    """Return a closed ring of x, y at height z, seen from above against the clock."""
    polygon = BRepBuilderAPI_MakePolygon()
    for x, y in shapely.geometry.polygon.orient(shapely.Polygon(ring)).exterior.coords[:-1]:
        polygon.Add(gp_Pnt(x, y, z))
    polygon.Close()
    return polygon.Wire()


def _result(operation, arguments: list[TopoDS_Shape], tools: list[TopoDS_Shape]) -> TopoDS_Shape:
    """Return what a boolean operation makes of its arguments. Raises BuildFailed when OCC says it could not."""
    operation.SetArguments(_list(arguments))
    operation.SetTools(_list(tools))
    operation.SetNonDestructive(True)
    operation.SetRunParallel(False)
    # Boxes along the faces instead of along the axes: fewer pairs to intersect, a third less time.
    operation.SetUseOBB(True)
    operation.Build()
    if not operation.IsDone():
        raise BuildFailed(f"the CAD kernel could not do {type(operation).__name__.split('_')[-1].lower()}")
    return operation.Shape()


def _list(shapes: list[TopoDS_Shape]) -> TopTools_ListOfShape:
    listed = TopTools_ListOfShape()
    for shape in shapes:
        listed.Append(shape)
    return listed


def _of_brep(content: bytes) -> ExactSolid:
    return ExactSolid(shape_of_brep(content))


def write_brep(solid: ExactSolid, path: Path) -> None:
    """Keep a solid in OCC's own binary format, for another process of this run."""
    # Beside, then renamed: another process may be looking for it.
    beside = path.with_suffix(".partial")
    beside.write_bytes(brep_bytes(solid.shape))
    beside.replace(path)


def read_brep(path: Path) -> ExactSolid:
    """Return a solid kept by write_brep. Raises FileNotFoundError."""
    return ExactSolid(shape_of_brep(path.read_bytes()))
