"""The flat faces a solid has on a plane, as 2D outlines.

What stands in a hole of an outline is an outline of its own: read as outer rings less holes, a standoff within a
section's rim vanished from its cut, and stresses came out infinite. Outlines that touch themselves in one point are
no polygon to some libraries: a face on a plane falls back to the union of its triangles.
"""

from __future__ import annotations

import numpy as np
import shapely
from shapely import MultiPolygon, Polygon

from sections.numbers.frame import Frame, Plane
from sections.numbers.halve import number_edges
from sections.numbers.mesh import Mesh

# mm; corners this near a plane lie on it.
_ON_PLANE = 1e-4
_SLIT = 1e-3
# mm2; outlines that enclose so much less or more than the triangles have lost some.
_LOST = 0.5


def on_plane(mesh: Mesh, plane: Plane, tolerance: float = _ON_PLANE) -> np.ndarray:
    """Return which faces, (m,) bool, lie on the plane with all corners, within `tolerance` mm."""
    near = np.abs(plane.distance(mesh.vertices)) < tolerance
    return near[mesh.faces].all(1)


def face_on_plane(mesh: Mesh, plane: Plane, frame: Frame, tolerance: float = _ON_PLANE) -> MultiPolygon:
    """Return the part of a closed mesh's surface that lies on the plane, in the x, y of `frame`, mm.

    frame : a frame whose z is the plane's normal and whose origin lies on it.
    """
    chosen = on_plane(mesh, plane, tolerance)
    if not chosen.any():
        return MultiPolygon()
    # The edges between a face on the plane and one off it enclose the area; uniting the triangles takes ten times
    # as long.
    faces = mesh.faces[chosen]
    used, local = np.unique(faces, return_inverse=True)
    corners = frame.to_local(mesh.vertices[used])[:, :2]
    edges = number_edges(local.reshape(-1, 3), len(used))
    rim = edges.ends[edges.uses == 1]
    whole = _enclosed(corners[rim])
    if whole is None or abs(whole.area - float(mesh.areas_mm2[chosen].sum())) > _LOST:
        # Outlines that touch one another or themselves enclose nothing; triangles always do.
        whole = shapely.union_all(shapely.polygons(corners[local.reshape(-1, 3)]))
    # Slits a rounding wide between faces that lie on the plane and faces that just miss it.
    closed = whole.buffer(_SLIT, join_style="mitre").buffer(-_SLIT, join_style="mitre")
    return as_multipolygon(shapely.make_valid(closed))


def _enclosed(lines: np.ndarray) -> shapely.Geometry | None:
    """Return what lines (n, 2, 2) enclose; None where they cross, as those of faces that lie over one another do."""
    try:
        return shapely.build_area(shapely.multilinestrings(shapely.linestrings(lines)))
    except shapely.errors.GEOSException:
        return None


def as_multipolygon(shape: shapely.Geometry) -> MultiPolygon:
    """Return only the polygons of any 2D shape."""
    if isinstance(shape, Polygon):
        return MultiPolygon([shape]) if not shape.is_empty else MultiPolygon()
    parts = [part for part in getattr(shape, "geoms", []) if isinstance(part, Polygon) and not part.is_empty]
    return MultiPolygon(parts)


def longest_side(shape: shapely.Geometry) -> float:
    """Return the longer side, mm, of the least rectangle around a flat shape; 0 for an empty one."""
    if shape.is_empty:
        return 0.0
    corners = shapely.get_coordinates(shapely.minimum_rotated_rectangle(shape))
    return float(np.linalg.norm(np.diff(corners, axis=0), axis=1).max(initial=0.0))
