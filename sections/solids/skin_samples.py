"""Points on the exact skin of a body, each with its normal and its face, and how sharply faces meet."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from OCP.BRep import BRep_Tool
from OCP.BRepAdaptor import BRepAdaptor_Curve2d
from OCP.TopAbs import TopAbs_EDGE, TopAbs_FACE, TopAbs_REVERSED
from OCP.TopoDS import TopoDS, TopoDS_Edge, TopoDS_Face, TopoDS_Shape

from sections.solids.brep_parts import curve_points, explore, outward_normal
from sections.solids.tessellate import Tessellation

# mm2 of skin for one point; some 7000 to a section of a 300 mm bed.
_AREA_PER_POINT = 12.0
_ALONG_EDGE = 40


@dataclass(frozen=True)
class Crease:
    """An edge between two faces. points : (k, 3) mm along it. turn : (k,) deg between the faces' normals, positive
    where the body is convex."""

    faces: tuple[int, int]
    points: np.ndarray
    turn: np.ndarray

    def __len__(self) -> int:
        """Number of points."""
        return len(self.points)

    def only(self, rows: np.ndarray) -> Crease:
        """Return the crease at some of its points, (k,) bool."""
        return Crease(self.faces, self.points[rows], self.turn[rows])


@dataclass(frozen=True)
class SkinSamples:
    """The exact skin, point by point.

    points : (n, 3) mm. normals : (n, 3) outward, of the triangle each was taken over. faces : (n,) number of the
    exact face. creases : every edge between two of them.
    """

    points: np.ndarray
    normals: np.ndarray
    faces: np.ndarray
    creases: tuple[Crease, ...]


def sample_skin(solids: list[TopoDS_Shape], tessellations: list[Tessellation]) -> SkinSamples:
    """Return samples of the skin of several solids; their faces are numbered through."""
    points, normals, faces, creases = [], [], [], []
    first = 0
    for solid, made in zip(solids, tessellations, strict=True):
        taken = made.sample(int(made.mesh.areas_mm2.sum() / _AREA_PER_POINT), seed=17)
        points.append(taken.points)
        normals.append(made.mesh.normals[taken.face])
        faces.append(made.surface_of[taken.face] + first)
        creases += _creases(solid, first)
        first += len(made.surfaces)
    return SkinSamples(np.vstack(points), np.vstack(normals), np.concatenate(faces), tuple(creases))


def _creases(solid: TopoDS_Shape, first: int) -> list[Crease]:
    """Return the edges of a solid that lie between two faces, faces numbered in the order they are explored."""
    sides: dict = {}
    for number, face in enumerate(map(TopoDS.Face_s, explore(solid, TopAbs_FACE))):
        for edge in map(TopoDS.Edge_s, explore(face, TopAbs_EDGE)):
            if not BRep_Tool.Degenerated_s(edge):
                sides.setdefault(edge.TShape(), []).append((number, face, edge))
    return [_crease(*uses, first) for uses in sides.values() if len(uses) == 2 and uses[0][0] != uses[1][0]]


def _crease(one: tuple, two: tuple, first: int) -> Crease:
    (number, face, edge), (other_number, other_face, other_edge) = one, two
    along = curve_points(edge, _ALONG_EDGE + 2)
    tangents = along[2:] - along[:-2]
    tangents = -tangents if edge.Orientation() == TopAbs_REVERSED else tangents
    normals, others = _normals_along(face, edge), _normals_along(other_face, other_edge)
    known = ~np.isnan(normals).any(1) & ~np.isnan(others).any(1)
    points, normals, others, tangents = along[1:-1][known], normals[known], others[known], tangents[known]
    turn = np.degrees(np.arccos(np.clip(np.einsum("ij,ij->i", normals, others), -1.0, 1.0)))
    # With the face on the left of its edge, the way into it is normal x tangent; a convex body turns away from it.
    convex = np.einsum("ij,ij->i", others, np.cross(normals, tangents)) <= 0
    return Crease((number + first, other_number + first), points, np.where(convex, turn, -turn))


def _normals_along(face: TopoDS_Face, edge: TopoDS_Edge) -> np.ndarray:
    """Return a face's outward normals at points along one of its edges, ends left out; nan where there is none."""
    curve = BRepAdaptor_Curve2d(edge, face)
    steps = np.linspace(curve.FirstParameter(), curve.LastParameter(), _ALONG_EDGE + 2)[1:-1]
    found = [outward_normal(face, *curve.Value(float(step)).Coord()) for step in steps]
    return np.array([np.full(3, np.nan) if normal is None else normal for normal in found])
