"""Triangles from exact faces, with absolute deflection and a measured deviation, by OCC.

CadQuery's own tessellate and STL export take the tolerance as relative to edge size; on a car-size body that
left the mesh up to 52 mm off the skin. Here the deflection is absolute, and what came out is measured.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import partial

import numpy as np
from OCP.BRep import BRep_Tool
from OCP.BRepMesh import BRepMesh_IncrementalMesh
from OCP.BRepTools import BRepTools
from OCP.IMeshTools import IMeshTools_Parameters
from OCP.TopAbs import TopAbs_EDGE, TopAbs_FACE, TopAbs_REVERSED, TopAbs_VERTEX
from OCP.TopExp import TopExp, TopExp_Explorer
from OCP.TopLoc import TopLoc_Location
from OCP.TopoDS import TopoDS, TopoDS_Shape
from OCP.TopTools import TopTools_IndexedMapOfShape

from sections.errors import BuildFailed
from sections.numbers.mesh import Mesh
from sections.numbers.sampling import sample_barycentric
from sections.solids.distance import MeshDistance
from sections.solids.refine import SurfaceTriangles, refine, relaxed
from sections.solids.surface import ExactSurface, evaluate

_SAMPLES = 60_000


@dataclass(frozen=True)
class ExactSample:
    """Points that lie exactly on the source's surfaces.

    points : (n, 3) mm. face : (n,) triangle of the mesh each was taken over.
    """

    points: np.ndarray
    face: np.ndarray


@dataclass(frozen=True)
class Tessellation:
    """A mesh of exact faces and how it was cut from them.

    mesh : welded along the shape's own edges. surfaces : the exact faces. surface_of : (m,) index into them.
    uv : (m, 3, 2) surface parameters of each triangle's corners. free : (m, 3, 2) bool, those without meaning at a
    pole.
    """

    mesh: Mesh
    surfaces: tuple[ExactSurface, ...]
    surface_of: np.ndarray
    uv: np.ndarray
    free: np.ndarray

    def sample(self, count: int, seed: int) -> ExactSample:
        """Return `count` points on the exact surfaces, evenly spread over the mesh."""
        face, weights = sample_barycentric(self.mesh, count, seed)
        return ExactSample(self._evaluate(face, weights), face)

    def deviation(self, samples: int, seed: int) -> float:
        """Return the largest distance, mm, from `samples` exact points to the mesh.

        The nearest triangle is searched for: at a pole the parameters of a triangle's own corners mislead.
        Half of the points are spread by area, half evenly over the triangles; on planes nothing is measured.
        """
        curved = np.flatnonzero(~_flat(self.surfaces)[self.surface_of])
        if not len(curved):
            return 0.0
        rng = np.random.default_rng(seed)
        areas = self.mesh.areas_mm2[curved]
        half = samples // 2
        face = np.concatenate([rng.choice(curved, half, p=areas / areas.sum()), rng.choice(curved, half)])
        points = self._evaluate(face, rng.dirichlet([1.0, 1.0, 1.0], len(face)))
        return MeshDistance(self.mesh).largest(points, face)

    def _evaluate(self, face: np.ndarray, weights: np.ndarray) -> np.ndarray:
        uv = np.einsum("nk,nkj->nj", weights, relaxed(self.uv[face], self.free[face]))
        return evaluate(self.surfaces, self.surface_of[face], uv)


def _flat(surfaces: tuple) -> np.ndarray:
    return np.array([surface.is_flat for surface in surfaces], bool)


def tessellate(shape: TopoDS_Shape, deviation: float, what: str, coarse: float = 5.0) -> Tessellation:
    """Return triangles no further than `deviation` mm from the shape's faces, as measured.

    OCC cuts the edges, and an interior `coarse` times coarser; refine() halves what is off. A coarser start is
    quicker and leaves fewer triangles, but now and then folds a few slivers. Raises BuildFailed, naming `what`,
    when three passes, each finer, do not keep the limit.
    """
    aim = 0.85 * deviation
    first = _tessellate_once(shape, aim, coarse)
    surfaces = first.surfaces
    fine = SurfaceTriangles(first.mesh.vertices, first.mesh.faces, first.uv, first.surface_of, first.free)
    for _ in range(3):
        fine = refine(fine, aim, partial(evaluate, surfaces), _flat(surfaces))
        made = Tessellation(Mesh(fine.points, fine.faces), surfaces, fine.surface, fine.uv, fine.free)
        measured = made.deviation(samples=min(_SAMPLES, 2000 + 4 * len(fine.faces)), seed=1)
        if measured <= deviation:
            return made
        aim *= 0.7
    raise BuildFailed(f"{what}: triangles are {measured:.3f} mm off the surface, {deviation:g} asked")


def occ_triangles(shape: TopoDS_Shape, deviation: float) -> Mesh:
    """Return OCC's own triangles of a shape: `deviation` mm is what is asked of it, not what it keeps everywhere.

    For comparing two solids on many points; three times as quick as tessellate().
    """
    return _tessellate_once(shape, deviation, 1.0).mesh


def _tessellate_once(shape: TopoDS_Shape, deflection: float, coarse: float) -> Tessellation:
    """Return OCC's own triangles: edges within `deflection` mm, faces `coarse` times that."""
    parameters = IMeshTools_Parameters()
    parameters.Deflection, parameters.DeflectionInterior = deflection, coarse * deflection
    parameters.Angle, parameters.AngleInterior = 0.7, 1.0
    parameters.Relative, parameters.InParallel = False, True
    BRepTools.Clean_s(shape)
    BRepMesh_IncrementalMesh(shape, parameters)
    welder = _Welder(shape)
    explorer = TopExp_Explorer(shape, TopAbs_FACE)
    while explorer.More():
        welder.add(TopoDS.Face_s(explorer.Current()))
        explorer.Next()
    return welder.result()


class _Welder:
    """Collects face after face, giving nodes on a shared edge one number, by topology and not by closeness."""

    def __init__(self, shape: TopoDS_Shape) -> None:
        # A number for each edge and corner: the same one in another place is another.
        self._numbers = TopTools_IndexedMapOfShape()
        TopExp.MapShapes_s(shape, TopAbs_EDGE, self._numbers)
        TopExp.MapShapes_s(shape, TopAbs_VERTEX, self._numbers)
        self._node_of: dict = {}
        self._points: list[tuple[float, float, float]] = []
        self._faces: list[np.ndarray] = []
        self._uv: list[np.ndarray] = []
        self._free: list[np.ndarray] = []
        self._surfaces: list = []
        self._count: list[int] = []

    def add(self, face) -> None:
        """Take in one face; a face the mesher left empty adds nothing and shows as open edges later."""
        location = TopLoc_Location()
        triangulation = BRep_Tool.Triangulation_s(face, location)
        if triangulation is None:
            return
        move = location.Transformation()
        names = self._names_on_edges(face, triangulation, location)
        numbers = np.empty(triangulation.NbNodes(), np.int64)
        for node in range(1, triangulation.NbNodes() + 1):
            name = names.get(node, (len(self._surfaces), node))
            if name not in self._node_of:
                point = triangulation.Node(node).Transformed(move)
                self._node_of[name] = len(self._points)
                self._points.append((point.X(), point.Y(), point.Z()))
            numbers[node - 1] = self._node_of[name]
        corners = np.array(
            [triangulation.Triangle(i).Get() for i in range(1, triangulation.NbTriangles() + 1)], np.int64
        ).reshape(-1, 3)
        if face.Orientation() == TopAbs_REVERSED:
            corners = corners[:, ::-1]
        uv = np.array([triangulation.UVNode(i).Coord() for i in range(1, triangulation.NbNodes() + 1)])
        self._faces.append(numbers[corners - 1])
        self._uv.append(uv[corners - 1])
        self._free.append(_free_parameters(face, triangulation, location, uv)[corners - 1])
        self._count.append(len(corners))
        self._surfaces.append(ExactSurface(face))

    def _names_on_edges(self, face, triangulation, location) -> dict[int, tuple]:
        """Return, for each node on the face's edges, a name that every face at that edge gives it."""
        names: dict[int, tuple] = {}
        explorer = TopExp_Explorer(face, TopAbs_EDGE)
        while explorer.More():
            edge = TopoDS.Edge_s(explorer.Current())
            polygon = BRep_Tool.PolygonOnTriangulation_s(edge, triangulation, location)
            if polygon is not None:
                ends = (TopExp.FirstVertex_s(edge, False), TopExp.LastVertex_s(edge, False))
                last = polygon.NbNodes()
                for step in range(1, last + 1):
                    if step in (1, last) or BRep_Tool.Degenerated_s(edge):
                        name = ("vertex", self._numbers.FindIndex(ends[0 if step == 1 else 1]))
                    else:
                        name = ("edge", self._numbers.FindIndex(edge), step)
                    names[polygon.Node(step)] = name
            explorer.Next()
        return names

    def result(self) -> Tessellation:
        """Return what was collected, triangles that collapsed on a pole or a short edge dropped."""
        faces = np.vstack(self._faces) if self._faces else np.empty((0, 3), np.int64)
        uv = np.vstack(self._uv) if self._uv else np.empty((0, 3, 2))
        free = np.vstack(self._free) if self._free else np.empty((0, 3, 2), bool)
        surface_of = np.repeat(np.arange(len(self._count)), self._count)
        a, b, c = faces.T
        kept = (a != b) & (b != c) & (c != a)
        mesh = Mesh(np.array(self._points).reshape(-1, 3), faces[kept])
        return Tessellation(mesh, tuple(self._surfaces), surface_of[kept], uv[kept], free[kept])


def _free_parameters(face, triangulation, location, uv: np.ndarray) -> np.ndarray:
    """Return which parameters, (nodes, 2) bool, run along an edge that is one point in space."""
    free = np.zeros(uv.shape, bool)
    explorer = TopExp_Explorer(face, TopAbs_EDGE)
    while explorer.More():
        edge = TopoDS.Edge_s(explorer.Current())
        explorer.Next()
        polygon = BRep_Tool.PolygonOnTriangulation_s(edge, triangulation, location)
        if polygon is None or not BRep_Tool.Degenerated_s(edge):
            continue
        nodes = np.array([polygon.Node(step) for step in range(1, polygon.NbNodes() + 1)]) - 1
        free[nodes, int(np.ptp(uv[nodes], axis=0).argmax())] = True
    return free
