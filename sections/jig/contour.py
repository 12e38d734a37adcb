"""The body's outline in a sheet: what of it lies within the sheet's thickness, seen square on.

An outline is exact within the sheet's plane. Where skin leans along the body the gap square to it is less, on a bow
0.1 for 1 mm; pads are placed where skin looks into the sheet within 45 deg. A saddle that follows a side that leans
in below cannot let the body out: what is lifted passes through all above it.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise

import numpy as np
import shapely
from shapely import MultiPolygon, Polygon

from sections.numbers.frame import Frame, Plane
from sections.solids.print_solid import PrintSolid

# mm between the places looked at along an outline.
STEP = 2.0
# mm; corners nearer than this to the line past them are left out of what is lifted.
_COARSE = 0.01


def shadow(body: PrintSolid, frame: Frame, thickness: float) -> MultiPolygon:
    """Return the outline, in the x, y of a frame, of all of a body that lies within half a thickness, mm, of its
    plane."""
    normal = np.asarray(frame.z)
    middle, half = float(normal @ np.asarray(frame.origin)), thickness / 2
    low, high = Plane(tuple(frame.z), middle - half), Plane(tuple(-normal), -middle - half)
    return body.clip([low, high]).shadow(frame)


def lifted(shape: MultiPolygon, height: float) -> MultiPolygon | Polygon:
    """Return all that an outline passes through when it is lifted straight up by a height, mm."""
    strips = []
    for part in shape.geoms:
        ring = np.array(part.exterior.simplify(_COARSE).coords)
        for (x1, y1), (x2, y2) in pairwise(ring):
            if abs(x2 - x1) > _COARSE:
                strips.append(Polygon([(x1, y1), (x2, y2), (x2, y2 + height), (x1, y1 + height)]))
    return shapely.union_all([shape, *strips])


@dataclass(frozen=True)
class Contour:
    """The outer outline of a shadow. frame : of the sheet. outline : in its x, y, mm."""

    frame: Frame
    outline: Polygon

    @staticmethod
    def of(frame: Frame, shape: MultiPolygon) -> Contour | None:
        """Return the contour of the largest piece of a shadow, or None without one."""
        if shape.is_empty:
            return None
        return Contour(frame, Polygon(max(shape.geoms, key=lambda part: part.area).exterior))

    @cached_property
    def points(self) -> np.ndarray:
        """Places along it, anticlockwise, (n, 2) mm."""
        ring = self.outline.exterior if self.outline.exterior.is_ccw else self.outline.exterior.reverse()
        count = max(8, int(ring.length / STEP))
        return np.array([ring.interpolate(i / count, normalized=True).coords[0] for i in range(count)])

    @cached_property
    def normals(self) -> np.ndarray:
        """Outward directions at the places, (n, 2) unit."""
        along = np.roll(self.points, -1, axis=0) - np.roll(self.points, 1, axis=0)
        out = np.column_stack([along[:, 1], -along[:, 0]])
        return out / np.maximum(np.linalg.norm(out, axis=1, keepdims=True), 1e-12)

    @cached_property
    def world(self) -> np.ndarray:
        """The places in the vehicle frame, (n, 3) mm."""
        return self.frame.to_world(np.column_stack([self.points, np.zeros(len(self.points))]))
