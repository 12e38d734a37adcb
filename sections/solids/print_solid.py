"""The print solid: a closed mesh that can be cut, united and clipped, by manifold3d.

manifold3d calls a doubled mesh sound, hands closed hollows out with negative volume, and orders equal triangles by
what was built before: hence `soundness.py`, `PrintSolid.pieces` and `numbers.mesh.in_order`.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache

import manifold3d
import numpy as np
import shapely
from shapely import MultiPolygon, Polygon

from sections.errors import BuildFailed
from sections.numbers.frame import Frame, Plane
from sections.numbers.mesh import Mesh, join, shell_count
from sections.solids.distance import MeshDistance
from sections.solids.planar import as_multipolygon

# mm; a face may lie so far above or below the plane of a label drawn on it.
BOW = 3.0


@dataclass(frozen=True)
class PrintSolid:
    """A solid bounded by triangles. Every operation gives a new one; none changes its operands."""

    manifold: manifold3d.Manifold

    @staticmethod
    def of(mesh: Mesh, what: str = "mesh", tolerance: float = 0.0) -> PrintSolid:
        """Return the solid a closed, outward mesh, mm, bounds. Raises BuildFailed naming `what`.

        NoError from the library does not prove a sound mesh (self-intersections, doubled faces pass): sources
        are judged by solids.soundness before they come here.
        """
        vertices = np.require(mesh.vertices, np.float64, ["C", "W"])
        faces = np.require(mesh.faces.astype(np.uint64), requirements=["C", "W"])
        built = manifold3d.Manifold(manifold3d.Mesh64(vertices, faces, tolerance=tolerance))
        if built.status() != manifold3d.Error.NoError:
            raise BuildFailed(f"{what}: not a solid ({built.status().name})")
        return PrintSolid(built)

    @staticmethod
    def empty() -> PrintSolid:
        """Return the solid without volume."""
        return PrintSolid(manifold3d.Manifold())

    @staticmethod
    def box(low: np.ndarray, high: np.ndarray) -> PrintSolid:
        """Return the axis-aligned box between two corners, mm."""
        size = np.asarray(high, float) - low
        return PrintSolid(manifold3d.Manifold.cube(tuple(size)).translate(tuple(map(float, low))))

    @staticmethod
    def hull(points: np.ndarray) -> PrintSolid:
        """Return the convex hull of points (n, 3), mm."""
        return PrintSolid(manifold3d.Manifold.hull_points(np.require(points, np.float64, ["C"])))

    @staticmethod
    def rod(radius: float, low: float, high: float, sides: int = 24) -> PrintSolid:
        """Return a bar along z between two heights that holds the round one of that radius, mm."""
        turns = np.linspace(0, 2 * np.pi, sides, endpoint=False)
        ring = radius / np.cos(np.pi / sides) * np.column_stack([np.cos(turns), np.sin(turns)])
        return PrintSolid.hull(np.array([(x, y, z) for z in (low, high) for x, y in ring]))

    @staticmethod
    def prism(outline: shapely.Geometry, low: float, high: float) -> PrintSolid:
        """Return the solid over an outline in x, y between two heights z, mm. Holes stay open."""
        rings = []
        for part in as_multipolygon(outline).geoms:
            rings.append(np.array(part.exterior.coords)[:-1])
            rings += [np.array(hole.coords)[:-1] for hole in part.interiors]
        flat = manifold3d.CrossSection(rings, manifold3d.FillRule.EvenOdd)
        return PrintSolid(manifold3d.Manifold.extrude(flat, high - low)).moved((0.0, 0.0, low))

    @property
    def volume_mm3(self) -> float:
        """Volume, mm3."""
        return float(self.manifold.volume())

    @property
    def is_empty(self) -> bool:
        """True when there is no volume at all."""
        return bool(self.manifold.is_empty())

    @property
    def bounds(self) -> np.ndarray:
        """Smallest and largest corner, (2, 3), mm."""
        return np.array(self.manifold.bounding_box()).reshape(2, 3)

    @property
    def corners(self) -> np.ndarray:
        """Its corners, (n, 3), mm."""
        return self.mesh().vertices

    def mesh(self) -> Mesh:
        """Return the triangles."""
        out = self.manifold.to_mesh64()
        return Mesh(out.vert_properties[:, :3], out.tri_verts.astype(np.int64))

    def clip(self, planes: Iterable[Plane]) -> PrintSolid:
        """Return what lies on the plus side of every plane."""
        kept = self.manifold
        for plane in planes:
            kept = kept.trim_by_plane(plane.normal, plane.offset)
        return PrintSolid(kept)

    def split(self, plane: Plane) -> tuple[PrintSolid, PrintSolid]:
        """Return (plus side, minus side) of the plane."""
        plus, minus = self.manifold.split_by_plane(plane.normal, plane.offset)
        return PrintSolid(plus), PrintSolid(minus)

    def unite(self, others: Iterable[PrintSolid]) -> PrintSolid:
        """Return this and the others in one."""
        parts = [self.manifold, *(other.manifold for other in others)]
        return PrintSolid(manifold3d.Manifold.batch_boolean(parts, manifold3d.OpType.Add))

    def cut(self, others: Iterable[PrintSolid]) -> PrintSolid:
        """Return this less the others."""
        parts = [self.manifold, *(other.manifold for other in others)]
        if len(parts) == 1:
            return self
        return PrintSolid(manifold3d.Manifold.batch_boolean(parts, manifold3d.OpType.Subtract))

    def common(self, *others: PrintSolid) -> PrintSolid:
        """Return what is in this and all others."""
        parts = [self.manifold, *(other.manifold for other in others)]
        return PrintSolid(manifold3d.Manifold.batch_boolean(parts, manifold3d.OpType.Intersect))

    def simplified(self, tolerance: float) -> PrintSolid:
        """Return the solid with fewer triangles, no surface moved by more than `tolerance` mm."""
        return PrintSolid(self.manifold.simplify(tolerance))

    def pieces(self) -> list[PrintSolid]:
        """Return the solid's separate pieces; a closed hollow stays with the piece around it.

        (The library's own decompose hands a closed hollow out as a piece of negative volume.)
        """
        if self.is_empty:
            return []
        mesh = self.mesh()
        if shell_count(mesh) == 1:
            return [self]
        shells = sorted(self.manifold.decompose(), key=lambda shell: shell.volume())
        outer = [shell for shell in shells if shell.volume() > 0]
        boxes = np.array([shell.bounding_box() for shell in outer]).reshape(-1, 2, 3)
        surface = lru_cache(lambda number: MeshDistance(PrintSolid(outer[number]).mesh()))
        hollows = [[] for _ in outer]
        for hollow in (shell for shell in shells if shell.volume() <= 0):
            inside = PrintSolid(hollow).mesh().vertices[:1]
            near = np.flatnonzero(((boxes[:, 0] <= inside) & (inside <= boxes[:, 1])).all(1)).tolist()
            # The smallest shell around it; shells are sorted by volume.
            around = next((number for number in near if surface(number).depth(inside)[0] > 0), None)
            if around is not None:
                hollows[around].append(hollow)
        return [
            PrintSolid.of(join([PrintSolid(part).mesh() for part in (shell, *inner)])) if inner else PrintSolid(shell)
            for shell, inner in zip(outer, hollows, strict=True)
        ]

    def raised(self, outline: shapely.Geometry, frame: Frame, relief: float, bare) -> PrintSolid:
        """Return the solid with an outline, in the x, y of a frame on its inner face, raised off that face.

        relief : mm. bare : `wall`, whose inner face it is; `block`, the body around it. The prism may reach other
        walls of the section, and moved inward they would stand out of their skin: hence the block. It reaches no
        further than the face may bow: a flange over it would be filled again where holes were cut.
        """
        reach = BOW + relief
        stamp = PrintSolid.prism(outline, -reach, reach).placed(frame)
        moved = bare.wall.moved([relief * c for c in frame.z])
        return self.unite([stamp.common(moved).common(bare.block)])

    def sunk(self, outline: shapely.Geometry, frame: Frame, depth: float) -> PrintSolid:
        """Return the solid with an outline, in the x, y of a frame on a plane face of it, cut `depth` mm into that
        face; z of the frame is off the face."""
        return self.cut([PrintSolid.prism(outline, -depth, depth).placed(frame)])

    def placed(self, frame: Frame) -> PrintSolid:
        """Return the solid, given in a part's own frame, in the vehicle frame."""
        matrix = np.column_stack([frame.rotation, frame.origin])
        return PrintSolid(self.manifold.transform(matrix))

    def moved(self, by: np.ndarray) -> PrintSolid:
        """Return the solid shifted by a vector, mm."""
        return PrintSolid(self.manifold.translate(tuple(map(float, by))))

    def shadow(self, frame: Frame) -> MultiPolygon:
        """Return its outline seen along z of a frame, in the frame's x, y, mm."""
        return _flat(self.unplaced(frame).manifold.project())

    def section_at(self, frame: Frame) -> MultiPolygon:
        """Return what the plane z = 0 of a frame cuts through, in the frame's x, y, mm."""
        return _flat(self.unplaced(frame).manifold.slice(0.0))

    def unplaced(self, frame: Frame) -> PrintSolid:
        """Return the solid, given in the vehicle frame, in a part's own frame."""
        turned = frame.rotation.T
        return PrintSolid(self.manifold.transform(np.column_stack([turned, -turned @ np.asarray(frame.origin)])))

    def mirrored_y(self) -> PrintSolid:
        """Return the mirror image in y = 0."""
        return PrintSolid(self.manifold.mirror((0.0, 1.0, 0.0)))

    def gap_to(self, other: PrintSolid, within: float) -> float:
        """Return the smallest distance to another solid, mm, or `within` when it is larger."""
        return float(self.manifold.min_gap(other.manifold, within))


def _flat(outlines: manifold3d.CrossSection) -> MultiPolygon:
    """Return outlines as polygons, what stands in a hole of another as one of its own. A ring may touch or cross itself
    by rounding: each is made valid first, or uniting them fails."""
    parts = []
    for one in outlines.decompose():
        made = (shapely.make_valid(Polygon(ring)) for ring in one.to_polygons() if len(ring) > 2)
        rings = sorted(made, key=lambda ring: -ring.area)
        if rings:
            parts.append(rings[0] - shapely.union_all(rings[1:]))
    return as_multipolygon(shapely.union_all(parts))
